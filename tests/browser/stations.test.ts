import { join } from 'node:path'
import type { Browser, BrowserContext, CDPSession, Page } from 'playwright-core'
import { afterEach, describe, expect, test } from 'vitest'
import { collectErrors } from '../support/browser.ts'
import { longRun } from '../support/long-run.ts'
import { repository } from '../support/repository.ts'
import { goTo, onPage, openFootage, shown, stage, typeIn } from '../support/stations-page.ts'
import { servedPage } from '../support/served-page.ts'

const clip = join(repository, 'tests/data/clips/b_three_as_cut.mp4')

const served = servedPage()
let context: BrowserContext | undefined
afterEach(async () => {
  await context?.close()
  context = undefined
})

async function newPage(options: Parameters<Browser['newContext']>[0] = {}): Promise<{ page: Page; errors: string[] }> {
  context = await served.browser.newContext({
    viewport: { width: 1440, height: 900 },
    serviceWorkers: 'block',
    ...options,
  })
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
  const page = await context.newPage()
  return { page, errors: collectErrors(page) }
}

describe('the picture', () => {
  test('ends on the frame that was asked for last, however fast the keys come', { timeout: 120_000 }, async () => {
    const { page } = await newPage()
    await openFootage(page, served.address, clip)
    await stage(page).focus()
    for (let i = 0; i < 37; i++) await page.keyboard.press('ArrowRight')
    await page.keyboard.press('Shift+ArrowRight')
    await page.keyboard.press('ArrowLeft')
    await shown(page, 46)
    expect(await page.getByRole('slider', { name: 'Film ruler' }).getAttribute('aria-valuenow')).toBe('46')
  })

  test('places and corrects a scale bar by keys alone', { timeout: 120_000 }, async () => {
    const { page } = await newPage()
    await openFootage(page, served.address, clip)
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
      await openFootage(page, served.address, clip)
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

/** Keeps every thread that the page starts in `window.threads`, so that a test can end one. */
const keepsThreads = `{
  const Thread = Worker
  window.threads = []
  window.Worker = class extends Thread {
    constructor(...all) { super(...all); window.threads.push({ name: all[1]?.name, thread: this }) }
  }
}`

/** Ways in which a thread goes: ended by the browser without a word, closed from inside, broken by an error that nobody caught. */
const endings = [
  [
    'ended',
    (page: Page) => page.evaluate("window.threads.findLast(({ name }) => name === 'decode').thread.terminate()"),
  ],
  ['closed', (page: Page) => inThread(page, 'close()')],
  ['broken', (page: Page) => inThread(page, "setTimeout(() => { throw new Error('on purpose') })")],
] as const

const inThread = async (page: Page, code: string): Promise<void> => {
  const thread = page.workers().findLast((worker) => worker.url().includes('decode.worker'))
  if (!thread) throw new Error('the page has no decode thread')
  // A thread that closes does not answer any more.
  void thread.evaluate(code).catch(() => undefined)
}

describe('while frames are stepped through', () => {
  test.each(longRun ? endings : endings.slice(0, 1))(
    'the decode thread is %s, and the frames go on without a word',
    { timeout: 60_000 },
    async (_, end) => {
      const { page, errors } = await newPage()
      await context!.addInitScript(keepsThreads)
      await openFootage(page, served.address, clip)
      await stage(page).focus()
      const began = () => page.evaluate<number>("window.threads.filter(({ name }) => name === 'decode').length")
      const before = await began()
      for (let frame = 1; frame <= 30; frame++) {
        await page.keyboard.press('ArrowRight')
        if (frame === 8) await end(page)
      }
      await shown(page, 30)
      // Far from where it was: nothing of the old thread helps here.
      for (let n = 0; n < 20; n++) await page.keyboard.press('Shift+ArrowRight')
      await shown(page, 230)
      expect(await began()).toBeGreaterThan(before)
      expect(await page.locator('.message-wrong, .message-caution').count()).toBe(0)
      expect(errors.filter((error) => !error.includes('on purpose'))).toEqual([])
    },
  )
})

describe('another file for a clip', () => {
  const takeAnother = async (page: Page, name: string): Promise<void> => {
    const [chooser] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.getByRole('button', { name: 'Show where its file lies, or take another for it' }).click(),
    ])
    await chooser.setFiles(join(repository, 'tests/data/clips', name))
  }

  test('is refused where marks would not lie on it, told with what differs, left by Escape, taken by choice and given back by undo', async () => {
    const { page, errors } = await newPage()
    await openFootage(page, served.address, clip)
    const isOf = (name: string) => page.locator('.clip-name', { hasText: name }).first().waitFor()
    await takeAnother(page, 'd_level_both_ways.mp4')
    await page.getByRole('alert').getByText('its marks would lie elsewhere').waitFor()
    const dialog = page.getByRole('dialog', { name: 'Another file for this clip?' })
    await takeAnother(page, 'c_three_sanded.mp4')
    await dialog.getByText('frames: 700 before, 620 now').waitFor()
    await page.keyboard.press('Escape')
    await dialog.waitFor({ state: 'hidden' })
    await isOf('b_three_as_cut.mp4')
    await takeAnother(page, 'c_three_sanded.mp4')
    await dialog.getByRole('button', { name: 'Use it, keep the marks' }).click()
    await isOf('c_three_sanded.mp4')
    await page.getByText('frame 0 of 620').waitFor()
    await shown(page, 0)
    await page.getByRole('button', { name: 'Undo: another file for b_three_as_cut.mp4' }).click()
    await isOf('b_three_as_cut.mp4')
    await page.getByText('frame 0 of 700').waitFor()
    await shown(page, 0)
    expect(errors).toEqual([])
  })
})

async function fingers(
  session: CDPSession,
  type: 'touchStart' | 'touchMove' | 'touchEnd' | 'touchCancel',
  points: readonly { x: number; y: number }[],
): Promise<void> {
  await session.send('Input.dispatchTouchEvent', { type, touchPoints: points.map((p, id) => ({ ...p, id })) })
}
