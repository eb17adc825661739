import { readFileSync } from 'node:fs'
import type { BrowserContext, Page } from 'playwright-core'
import { afterEach, beforeAll, describe, expect, test } from 'vitest'
import { ensureScene } from '../../samples/scenes.ts'
import { readTruth, type CompactTruth } from '../../samples/truth.ts'
import { collectErrors } from '../support/browser.ts'
import { goTo, onPage, openFootage, press, shown, stage, typeIn } from '../support/stations-page.ts'
import { servedPage } from '../support/served-page.ts'

const served = servedPage()
let context: BrowserContext | undefined

beforeAll(async () => {
  for (const name of ['blinking-lamp', 'free-fall', 'baked-ramp', 'invented-frames']) await ensureScene(name)
}, 900_000)
afterEach(async () => {
  await context?.close()
  context = undefined
})

async function opened(scene: string): Promise<{ page: Page; errors: string[]; truth: CompactTruth }> {
  const { clip, truth } = await ensureScene(scene)
  context = await served.browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
  const page = await context.newPage()
  const errors = collectErrors(page)
  await openFootage(page, served.address, clip)
  return { page, errors, truth: JSON.parse(readFileSync(truth, 'utf8')) as CompactTruth }
}

/** What the Time station says one frame lasts [ms]. */
async function oneFrame(page: Page): Promise<{ value: number; U: number }> {
  const said = page.getByRole('region', { name: 'What that gives' }).getByText(/± .* ms/)
  await said.first().waitFor()
  const [, value, U] = /([\d.]+) ± ([\d.]+) ms/.exec(await said.first().innerText()) ?? []
  return { value: Number(value), U: Number(U) }
}

const choose = (page: Page, clock: string) => page.getByRole('radio', { name: clock }).check({ force: true })

describe('the Time station', () => {
  test(
    'a box dragged around a blinking lamp and its rate typed tell how long a frame lasts',
    { timeout: 180_000 },
    async () => {
      const { page, errors, truth } = await opened('blinking-lamp')
      const [x, y] = truth.lamp!.centre.px
      await goTo(page, 'Time')
      await choose(page, 'a blinking lamp')
      const from = await onPage(page, { x: x - 8, y: y - 8 })
      const to = await onPage(page, { x: x + 8, y: y + 8 })
      await page.mouse.move(from.x, from.y)
      await page.mouse.down()
      await page.mouse.move(to.x - 3, to.y - 3)
      await page.mouse.move(to.x, to.y)
      await page.mouse.up()
      await page.getByText(/goes on and off/).waitFor({ timeout: 60_000 })
      await page.getByRole('textbox', { name: 'The lamp blinks, times a second, value' }).fill('8')
      await page.keyboard.press('Enter')
      const frame = await oneFrame(page)
      expect(Math.abs(frame.value - 1000 / 240)).toBeLessThan(frame.U)
      expect(frame.U).toBeLessThan(0.003 * frame.value)
      await page.getByRole('figure', { name: /^brightness of the box/ }).waitFor()
      // One undo takes the clock away, the next the reading.
      await page.getByRole('button', { name: /^Undo: measure the filming rate/ }).click()
      await page.getByText(/camera in slow motion films faster/).waitFor()
      await page.getByRole('button', { name: /^Undo: read the brightness/ }).click()
      await page.getByText(/goes on and off/).waitFor({ state: 'detached' })
      expect(errors).toEqual([])
    },
  )

  test('the same by keys alone, corner by corner with the loupe', { timeout: 180_000 }, async () => {
    const { page, truth } = await opened('blinking-lamp')
    const [x, y] = truth.lamp!.centre.px
    await goTo(page, 'Time')
    await choose(page, 'a blinking lamp')
    await page.getByRole('button', { name: 'Draw a box around the light' }).focus()
    await page.keyboard.press('Enter')
    // The loupe starts in the middle of the picture, at 320, 160; Shift takes ten pixels.
    const steps = async (key: string, count: number) => {
      for (let i = 0; i < Math.floor(count / 10); i++) await page.keyboard.press(`Shift+${key}`)
      for (let i = 0; i < count % 10; i++) await page.keyboard.press(key)
    }
    await steps('ArrowRight', Math.round(x) - 8 - 320)
    await steps('ArrowUp', 160 - (Math.round(y) - 8))
    await page.keyboard.press('Enter')
    await steps('ArrowRight', 16)
    await steps('ArrowDown', 16)
    await page.keyboard.press('Enter')
    await page.getByText(/goes on and off/).waitFor({ timeout: 60_000 })
  })

  test('a falling ball marked by mouse on a plane tells how long a frame lasts', { timeout: 240_000 }, async () => {
    const { page, truth } = await opened('free-fall')
    const track = readTruth(truth).tracks[0]!
    await goTo(page, 'Scale')
    await page.getByRole('button', { name: 'Rectangle of known size' }).click()
    for (const { px } of [...truth.rectangle!.corners].reverse()) await press(page, { x: px[0], y: px[1] })
    await typeIn(page, String(1000 * truth.rectangle!.width_m))
    await page
      .getByRole('textbox', { name: 'Height of the rectangle, value' })
      .fill(String(1000 * truth.rectangle!.height_m))
    await page.keyboard.press('Enter')
    await page.getByText('one pixel is').waitFor()
    await goTo(page, 'Time')
    await choose(page, 'a ball in free fall')
    await page.getByRole('button', { name: 'Mark the falling ball' }).click()
    await page.getByRole('combobox', { name: 'After each mark' }).selectOption('5')
    await stage(page).focus()
    const falling = track.frame.filter((frame, i) => frame % 5 === 0 && track.state[i] === 'visible' && track.v[i]! > 0)
    const first = falling[0]!
    for (let frame = 0; frame < first; frame += 1) await page.keyboard.press('ArrowRight')
    for (const frame of falling) {
      await shown(page, frame)
      const i = track.frame.indexOf(frame)
      await press(page, { x: track.x[i]! + 1, y: track.y[i]! - 1 })
      await page.getByText(new RegExp(`Marked on ${falling.indexOf(frame) + 1} frame`)).waitFor()
    }
    await page.getByRole('button', { name: 'Take the rate from this fall' }).click()
    const found = await oneFrame(page)
    expect(Math.abs(found.value - 1000 / 240)).toBeLessThan(found.U)
    expect(found.U).toBeLessThan(0.02 * found.value)
  })

  test('a baked ramp is proposed as pieces, taken with one press, and edited', { timeout: 180_000 }, async () => {
    const { page } = await opened('baked-ramp')
    await goTo(page, 'Time')
    await page.getByText(/The timestamps change pace at frames 96, 400/).waitFor()
    await page.getByRole('button', { name: 'Take these pieces' }).click()
    const rows = page.getByRole('region', { name: 'What that gives' }).getByRole('row')
    await rows.filter({ hasText: '96 … 399' }).filter({ hasText: '4.1667 ± 0.0048' }).waitFor()
    await page.getByRole('textbox', { name: 'Piece 2: from frame' }).fill('120')
    await page.keyboard.press('Enter')
    await rows.filter({ hasText: '0 … 119' }).waitFor()
    await page.getByRole('textbox', { name: 'Piece 3: from frame' }).fill('100')
    await page.keyboard.press('Enter')
    await page.getByText(/The cut cannot lie at frame 100/).waitFor()
    await page.getByRole('button', { name: 'Join piece 3 to the one before' }).click()
    await rows.filter({ hasText: '120 … 479' }).waitFor()
  })

  test('invented frames are refused as time until they are left out', { timeout: 240_000 }, async () => {
    const { page } = await opened('invented-frames')
    await goTo(page, 'Time')
    await page.getByRole('button', { name: 'Filmed at 240' }).click()
    await oneFrame(page)
    await page.getByRole('button', { name: 'Look at every frame' }).click()
    await page.getByText(/Only every fourth frame was filmed; those between were made/).waitFor({ timeout: 120_000 })
    await page.getByText('Nothing that can be trusted.').waitFor()
    await page.getByText('318 frames of invented-frames.mp4 were not filmed.').waitFor()
    // What was seen is in the record: the refusal outlives the tab.
    await page.locator('[data-copy=kept]').waitFor()
    await page.reload()
    await page.getByText('Nothing that can be trusted.').waitFor()
    await page.getByRole('button', { name: /^Leave the 318 invented frames out/ }).click()
    await oneFrame(page)
    await goTo(page, 'Footage')
    await page.getByText(/318 frames are left out of every measurement/).waitFor()
  })
})
