import type { Page } from 'playwright-core'
import type { Track } from '../../samples/truth.ts'
import { mouse, type Hands } from './hands.ts'
import { goTo, openFootage, shown, typeIn } from './stations-page.ts'

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

/** Does the whole job, from the first screen to the row of results. Marks stand at whole pixels of `marked`. */
export async function doMainJob(
  page: Page,
  address: string,
  job: MainJob,
  seen: Track,
  marked: readonly number[],
  hands: Hands = mouse(page),
): Promise<void> {
  const { press } = hands
  await openFootage(page, address, job.file, press)
  await goTo(page, 'Time', press)
  await press(page.getByRole('button', { name: job.time }))
  await page
    .getByText(/ ms ±|\d ±/)
    .first()
    .waitFor()

  await goTo(page, 'Scale', press)
  await press(page.getByRole('button', { name: 'Rectangle of known size' }))
  for (const corner of job.corners) await hands.place(corner)
  await typeIn(page, job.width)
  await hands.fill(page.getByRole('textbox', { name: 'Height of the rectangle, value' }), job.height)
  await page.getByText('one pixel is').waitFor()

  await goTo(page, 'Lanes', press)
  await press(page.getByRole('button', { name: 'Draw a lane' }))
  await hands.place({ x: seen.x[0]!, y: seen.y[0]! })
  await hands.place({ x: seen.x.at(-1)!, y: seen.y.at(-1)! })
  await hands.fill(page.getByRole('textbox', { name: 'Slope, downhill' }), `${job.slope_deg}°`)
  await hands.choose(page.getByRole('combobox', { name: 'Diameter' }), job.diameter)
  await press(page.getByRole('button', { name: 'Use this ball' }))
  await hands.choose(page.getByRole('combobox', { name: 'Cross-section' }), 'V-groove')
  await hands.tick(page.getByRole('checkbox', { name: 'I don’t know' }).first(), false)
  if (job.included !== undefined)
    await hands.fill(page.getByRole('textbox', { name: /^Angle between the walls, value/ }), job.included)
  await page.getByRole('img', { name: /^Cross-section: the ball touches at two points/ }).waitFor()

  await goTo(page, 'Marks', press)
  await hands.step(0, seen.frame[marked[0]!]!)
  await press(page.getByRole('button', { name: /^Start a run/ }))
  await hands.choose(page.getByRole('combobox', { name: 'After each mark' }), `${job.every} frames on`)
  await hands.backToPicture()
  for (const i of marked) {
    await shown(page, seen.frame[i]!)
    await hands.place({ x: Math.round(seen.ox[i]!), y: Math.round(seen.oy[i]!) })
  }
  await page.getByRole('table').getByText(String(marked.length), { exact: true }).waitFor()
}

/** Reads the first row of results, the places it speaks of, and the check by random draws. */
export async function readFigures(page: Page, { press }: Hands = mouse(page)): Promise<ReadFigures> {
  await goTo(page, 'Results', press)
  const row = page.getByRole('row', { name: /as cut/ }).first()
  await row.waitFor()
  await page.locator('[aria-busy=false]').first().waitFor()
  const [entry, exit, acceleration, crr] = figuresIn(await row.innerText())
  if (!entry || !exit || !acceleration || !crr) throw new Error(`four figures are in the row: ${await row.innerText()}`)
  const said = await page.getByText(/entry at/).innerText()
  const [entryAt_m, exitAt_m] = [/entry at ([\d.]+) mm/, /exit at ([\d.]+) mm/].map(
    (x) => Number(x.exec(said)?.[1]) / 1000,
  )
  await press(page.getByRole('button', { name: /^Check the ± by/ }))
  const check = page.getByRole('region', { name: 'Check by random draws' }).getByRole('status')
  await check.waitFor({ timeout: 120_000 })
  const [drawn] = figuresIn((await check.innerText()).replace(/^.*draws:/s, ''))
  if (!drawn) throw new Error(`the draws give a figure: ${await check.innerText()}`)
  return { entry, exit, acceleration, crr, entryAt_m: entryAt_m!, exitAt_m: exitAt_m!, drawn }
}
