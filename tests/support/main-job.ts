import type { Page } from 'playwright-core'
import type { Track } from '../../samples/truth.ts'
import { goTo, openFootage, press, shown, stage, typeIn } from './stations-page.ts'

/** What a newcomer knows of a clip before opening it: everything he types and where he presses, but for the marks. */
export interface MainJob {
  readonly file: string
  /** Name of the button that sets the time. */
  readonly time: RegExp
  /** Corners of the rectangle from its truth file [px], and its sides as typed. */
  readonly corners: readonly { readonly x: number; readonly y: number }[]
  readonly width: string
  readonly height: string
  readonly slope_deg: number
  readonly diameter: string
  /** Angle between the walls; undefined where the one offered is right. */
  readonly included: string | undefined
  readonly every: number
}

export interface Figure {
  readonly value: number
  readonly U: number
}

export interface ReadFigures {
  readonly entry: Figure
  readonly exit: Figure
  readonly acceleration: Figure
  readonly crr: Figure
  /** Where entry and exit are read, from the lane line's start [m]. */
  readonly entryAt_m: number
  readonly exitAt_m: number
  /** C_rr by random draws, as the page says it. */
  readonly drawn: Figure
}

const figuresIn = (text: string): Figure[] =>
  [...text.matchAll(/([−\d.]+)\s*±\s*([\d.]+)/g)].map(([, value, U]) => ({
    value: Number(value!.replace('−', '-')),
    U: Number(U),
  }))

/** Does the whole job by mouse and keys, from the first screen to the row of results. Marks stand at whole pixels of `marked`. */
export async function doMainJob(
  page: Page,
  address: string,
  job: MainJob,
  seen: Track,
  marked: readonly number[],
): Promise<void> {
  await openFootage(page, address, job.file)
  await goTo(page, 'Time')
  await page.getByRole('button', { name: job.time }).click()
  await page
    .getByText(/ ms ±|\d ±/)
    .first()
    .waitFor()

  await goTo(page, 'Scale')
  await page.getByRole('button', { name: 'Rectangle of known size' }).click()
  for (const corner of job.corners) await press(page, corner)
  await typeIn(page, job.width)
  await page.getByRole('textbox', { name: 'Height of the rectangle, value' }).fill(job.height)
  await page.keyboard.press('Enter')
  await page.getByText('one pixel is').waitFor()

  await goTo(page, 'Lanes')
  await page.getByRole('button', { name: 'Draw a lane' }).click()
  await press(page, { x: seen.x[0]!, y: seen.y[0]! })
  await press(page, { x: seen.x.at(-1)!, y: seen.y.at(-1)! })
  await page.getByRole('textbox', { name: 'Slope, downhill' }).fill(`${job.slope_deg}°`)
  await page.keyboard.press('Enter')
  await page.getByRole('combobox', { name: 'Diameter' }).selectOption({ label: job.diameter })
  await page.getByRole('combobox', { name: 'Cross-section' }).selectOption('v-groove')
  await page.getByRole('checkbox', { name: 'I don’t know' }).first().uncheck()
  if (job.included !== undefined) {
    await page.getByRole('textbox', { name: /^Angle between the walls, value/ }).fill(job.included)
    await page.keyboard.press('Enter')
  }
  await page.getByRole('img', { name: /^Cross-section: the ball touches at two points/ }).waitFor()

  const first = seen.frame[0]!
  await goTo(page, 'Marks')
  await page.getByRole('button', { name: /^Start a run/ }).click()
  await page.getByRole('combobox', { name: 'After each mark' }).selectOption(String(job.every))
  await stage(page).focus()
  for (let frame = 0; frame + 10 <= first; frame += 10) await page.keyboard.press('Shift+ArrowRight')
  for (let frame = first - (first % 10); frame < first; frame++) await page.keyboard.press('ArrowRight')
  for (const i of marked) {
    await shown(page, seen.frame[i]!)
    await press(page, { x: Math.round(seen.ox[i]!), y: Math.round(seen.oy[i]!) })
  }
  await page.getByRole('table').getByText(String(marked.length), { exact: true }).waitFor()
}

/** Reads the first row of results, the places it speaks of, and the check by random draws. */
export async function readFigures(page: Page): Promise<ReadFigures> {
  await goTo(page, 'Results')
  const row = page.getByRole('row', { name: /as cut/ }).first()
  await row.waitFor()
  await page.locator('[aria-busy=false]').first().waitFor()
  const [entry, exit, acceleration, crr] = figuresIn(await row.innerText())
  if (!entry || !exit || !acceleration || !crr) throw new Error(`four figures are in the row: ${await row.innerText()}`)
  const said = await page.getByText(/entry at/).innerText()
  const [entryAt_m, exitAt_m] = [/entry at ([\d.]+) mm/, /exit at ([\d.]+) mm/].map(
    (x) => Number(x.exec(said)?.[1]) / 1000,
  )
  await page.getByRole('button', { name: /^Check the ± by/ }).click()
  const check = page.getByRole('region', { name: 'Check by random draws' }).getByRole('status')
  await check.waitFor({ timeout: 120_000 })
  const [drawn] = figuresIn((await check.innerText()).replace(/^.*draws:/s, ''))
  if (!drawn) throw new Error(`the draws give a figure: ${await check.innerText()}`)
  return { entry, exit, acceleration, crr, entryAt_m: entryAt_m!, exitAt_m: exitAt_m!, drawn }
}
