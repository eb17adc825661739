import type { Server } from 'node:http'
import { join } from 'node:path'
import type { Browser, BrowserContext, CDPSession, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { readTruth } from '../support/clip-truth.ts'
import { repository } from '../support/repository.ts'
import { goTo, onPage, openFootage, press, shown, stage, typeIn } from '../support/stations-page.ts'

const clip = join(repository, 'tests/data/clips/b_three_as_cut.mp4')
const truth = readTruth(join(repository, 'tests/data/clips/b_three_as_cut.truth.json'))
/** Corners of the clip's rectangle of 420 × 285 mm, from its truth file. */
const corners = [
  { x: 244.15, y: 45.18 },
  { x: 1017.44, y: 45.18 },
  { x: 1007.21, y: 561.22 },
  { x: 254.88, y: 561.22 },
]

let browser: Browser
let server: Server
let address: string
let context: BrowserContext | undefined

beforeAll(async () => {
  server = await serveSite(await builtSite(), 0)
  address = `http://localhost:${portOf(server)}/`
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
})
afterEach(async () => {
  await context?.close()
  context = undefined
})

async function newPage(options: Parameters<Browser['newContext']>[0] = {}): Promise<{ page: Page; errors: string[] }> {
  context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block', ...options })
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
  const page = await context.newPage()
  return { page, errors: collectErrors(page) }
}

/** Least squares parabola through true places: its acceleration [m/s²], by differences of weights (no library of ours). */
function parabola(t: readonly number[], s: readonly number[]): number {
  const n = t.length
  const mean = t.reduce((a, b) => a + b, 0) / n
  const u = t.map((x) => x - mean)
  const m = (p: number) => u.reduce((a, x) => a + x ** p, 0)
  const r = (p: number) => u.reduce((a, x, i) => a + x ** p * s[i]!, 0)
  const [s0, s1, s2, s3, s4] = [m(0), m(1), m(2), m(3), m(4)]
  const det = s0 * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s3 * s2) + s2 * (s1 * s3 - s2 * s2)
  const third = s0 * (s2 * r(2) - r(1) * s3) - s1 * (s1 * r(2) - r(1) * s2) + r(0) * (s1 * s3 - s2 * s2)
  return (2 * third) / det
}

describe('a newcomer with a mouse', () => {
  test(
    'measures a lane from footage to resistance, within the stated U of the truth',
    { timeout: 600_000 },
    async () => {
      const { page, errors } = await newPage()
      await openFootage(page, address, clip)
      await goTo(page, 'Time')
      await page.getByRole('button', { name: 'Filmed at 240' }).click()
      await page.getByText('4.1667 ±').waitFor()

      await goTo(page, 'Scale')
      await page.getByRole('button', { name: 'Rectangle of known size' }).click()
      for (const corner of corners) await press(page, corner)
      await typeIn(page, '420 ± 0.3')
      await page.getByRole('textbox', { name: 'Height of the rectangle, value' }).fill('285 ± 0.3')
      await page.keyboard.press('Enter')
      await page.getByText('one pixel is').waitFor()

      await goTo(page, 'Lanes')
      await page.getByRole('button', { name: 'Draw a lane' }).click()
      await press(page, { x: 62.2, y: 115.6 })
      await press(page, { x: 1271.2, y: 149.6 })
      await page.getByRole('textbox', { name: 'Slope, downhill' }).fill('1.6°')
      await page.keyboard.press('Enter')
      await page.getByRole('combobox', { name: 'Diameter' }).selectOption({ label: '19.05 mm (3/4 in)' })
      await page.getByRole('combobox', { name: 'Cross-section' }).selectOption('v-groove')
      await page.getByRole('checkbox', { name: 'I don’t know' }).first().uncheck()
      await page.getByRole('img', { name: /^Cross-section: the ball touches at two points/ }).waitFor()

      const places = truth.frames.flatMap(({ i, t, balls }) =>
        balls.filter((b) => b.id === 'A1' && b.state === 'visible').map((b) => ({ frame: i, t, ...b })),
      )
      const every = 16
      const first = places[0]!.frame
      const marked = places.filter((p) => (p.frame - first) % every === 0)
      await goTo(page, 'Marks')
      await page.getByRole('button', { name: /^Start a run/ }).click()
      await page.getByRole('combobox', { name: 'After each mark' }).selectOption(String(every))
      await stage(page).focus()
      for (let frame = 0; frame + 10 <= first; frame += 10) await page.keyboard.press('Shift+ArrowRight')
      for (let frame = first - (first % 10); frame < first; frame++) await page.keyboard.press('ArrowRight')
      for (const place of marked) {
        await shown(page, place.frame)
        await press(page, { x: Math.round(place.ox), y: Math.round(place.oy) })
      }
      await page.getByRole('table').getByText(String(marked.length), { exact: true }).waitFor()

      await goTo(page, 'Results')
      const row = page.getByRole('row', { name: /as cut/ }).first()
      await row.waitFor()
      await page.locator('[aria-busy=false]').first().waitFor()
      const figures = [...(await row.innerText()).matchAll(/([−\d.]+)\s*±\s*([\d.]+)/g)].map(([, value, U]) => ({
        value: Number(value!.replace('−', '-')),
        U: Number(U),
      }))
      const [entry, exit, acceleration, crr] = figures
      if (!entry || !exit || !acceleration || !crr)
        throw new Error(`four figures are in the row: ${await row.innerText()}`)
      const said = await page.getByText(/entry at/).innerText()
      const [entryAt, exitAt] = [/entry at ([\d.]+) mm/, /exit at ([\d.]+) mm/].map(
        (x) => Number(x.exec(said)?.[1]) / 1000,
      )
      const trueSpeedAt = (s: number) => {
        const after = places.findIndex((p) => p.s >= s)
        const [a, b] = [places[Math.max(0, after - 1)]!, places[after]!]
        return b.s === a.s ? b.v : a.v + ((b.v - a.v) * (s - a.s)) / (b.s - a.s)
      }
      const a = parabola(
        marked.map((p) => p.t),
        marked.map((p) => p.s),
      )
      const theta = (1.6 * Math.PI) / 180
      const c = Math.tan(theta) - (1.8 * a) / (9.80665 * Math.cos(theta))
      expect(Math.abs(entry.value - trueSpeedAt(entryAt!))).toBeLessThanOrEqual(entry.U)
      expect(Math.abs(exit.value - trueSpeedAt(exitAt!))).toBeLessThanOrEqual(exit.U)
      expect(Math.abs(acceleration.value - a)).toBeLessThanOrEqual(acceleration.U)
      expect(Math.abs(crr.value - c)).toBeLessThanOrEqual(crr.U)
      expect(errors).toEqual([])
    },
  )
})

describe('the picture', () => {
  test('ends on the frame that was asked for last, however fast the keys come', { timeout: 120_000 }, async () => {
    const { page } = await newPage()
    await openFootage(page, address, clip)
    await stage(page).focus()
    for (let i = 0; i < 37; i++) await page.keyboard.press('ArrowRight')
    await page.keyboard.press('Shift+ArrowRight')
    await page.keyboard.press('ArrowLeft')
    await shown(page, 46)
    expect(await page.getByRole('slider', { name: 'Film ruler' }).getAttribute('aria-valuenow')).toBe('46')
  })

  test('places and corrects a scale bar by keys alone', { timeout: 120_000 }, async () => {
    const { page } = await newPage()
    await openFootage(page, address, clip)
    await goTo(page, 'Scale')
    await page.getByRole('button', { name: 'Scale bar' }).focus()
    await page.keyboard.press('Enter')
    // The loupe starts in the middle of the picture, at 640, 360.
    for (let i = 0; i < 20; i++) await page.keyboard.press('Shift+ArrowLeft')
    await page.keyboard.press('Alt+ArrowUp')
    await page.keyboard.press('Enter')
    for (let i = 0; i < 40; i++) await page.keyboard.press('Shift+ArrowRight')
    await page.keyboard.press('Enter')
    await typeIn(page, '350')
    const end = page.getByRole('button', { name: /scale bar, first end/ })
    await end.waitFor()
    expect(await end.getAttribute('aria-label')).toContain('x 440.0, y 359.9 px')
    await end.focus()
    await page.keyboard.press('Alt+ArrowRight')
    await page.getByRole('button', { name: /scale bar, first end, x 440\.1/ }).waitFor()
    await page.getByRole('button', { name: 'Undo: move a point of the scale' }).click()
    await page.getByRole('button', { name: /scale bar, first end, x 440\.0/ }).waitFor()
  })

  test(
    'under a finger the loupe stands clear; a cancelled touch places nothing; two fingers come closer',
    { timeout: 120_000 },
    async () => {
      const { page } = await newPage({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true })
      await openFootage(page, address, clip)
      await goTo(page, 'Scale')
      await page.getByRole('button', { name: 'Scale bar' }).tap()
      const touch = await page.context().newCDPSession(page)
      const at = await onPage(page, { x: 600, y: 500 })
      await fingers(touch, 'touchStart', [at])
      const loupe = page.locator('.loupe')
      await loupe.waitFor()
      const box = (await loupe.boundingBox())!
      const centre = { x: box.x + box.width / 2, y: box.y + box.height / 2 }
      expect(Math.hypot(centre.x - at.x, centre.y - at.y) - box.width / 2).toBeGreaterThan(60)
      await fingers(touch, 'touchCancel', [])
      await page.getByText('0 of 2 points placed').waitFor()
      await fingers(touch, 'touchStart', [at])
      await fingers(touch, 'touchMove', [{ x: at.x + 20, y: at.y }])
      await fingers(touch, 'touchEnd', [])
      await page.getByText('1 of 2 points placed').waitFor()

      await fingers(touch, 'touchStart', [{ x: 150, y: at.y }])
      await fingers(touch, 'touchStart', [
        { x: 150, y: at.y },
        { x: 200, y: at.y },
      ])
      await fingers(touch, 'touchMove', [
        { x: 100, y: at.y },
        { x: 300, y: at.y },
      ])
      await fingers(touch, 'touchEnd', [])
      await page.getByRole('button', { name: /^\d[\d.]* ×$/ }).waitFor()
      await page.getByText('1 of 2 points placed').waitFor()
    },
  )
})

async function fingers(
  session: CDPSession,
  type: 'touchStart' | 'touchMove' | 'touchEnd' | 'touchCancel',
  points: readonly { x: number; y: number }[],
): Promise<void> {
  await session.send('Input.dispatchTouchEvent', { type, touchPoints: points.map((p, id) => ({ ...p, id })) })
}
