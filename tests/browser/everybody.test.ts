import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, test } from 'vitest'
import { collectErrors } from '../support/browser.ts'
import { fingers, keys, type Hands } from '../support/hands.ts'
import { longRun } from '../support/long-run.ts'
import { everyNth, filmedBall, trueFigures } from '../support/main-job-truth.ts'
import { doMainJob, readFigures, type MainJob } from '../support/main-job.ts'
import { repository } from '../support/repository.ts'
import { goTo } from '../support/stations-page.ts'
import { servedPage } from '../support/served-page.ts'

const served = servedPage()

const stations = ['Footage', 'Time', 'Scale', 'Lanes', 'Marks', 'Results', 'Compare', 'Margin', 'Handover']
const axe = readFileSync(join(repository, 'node_modules/axe-core/axe.min.js'), 'utf8')

async function seriousFindings(page: Page): Promise<unknown> {
  // What stands folded is looked at too.
  await page.evaluate("for (const folded of document.querySelectorAll('details')) folded.open = true")
  await page.evaluate(axe)
  // Rules of WCAG 2.2 that axe leaves off unless asked: targets of 24 px.
  return page.evaluate(`axe.run({ rules: { 'target-size': { enabled: true } } }).then((found) => found.violations
    .filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => v.id + ': ' + v.nodes.map((n) => n.html).join(' | ')))`)
}

describe('no station of the demo has a serious or critical finding of axe', () => {
  const looks = [
    ['dark', 1440],
    ['light', 390],
    ['dark', 390],
    ['light', 1440],
  ] as const
  test.each(longRun ? looks : looks.slice(0, 1))('%s, %i px wide', { timeout: 240_000 }, async (colorScheme, width) => {
    const context = await served.browser.newContext({
      colorScheme,
      viewport: { width, height: 900 },
      serviceWorkers: 'block',
    })
    const page = await context.newPage()
    await page.goto(served.address)
    await page.getByRole('button', { name: 'Open the demo' }).click()
    for (const station of stations) {
      await goTo(page, station)
      if (['Results', 'Compare', 'Margin', 'Handover'].includes(station))
        await page.locator('main table').filter({ visible: true }).first().waitFor({ timeout: 60_000 })
      else await page.locator('.stage[data-shown-frame]').waitFor({ timeout: 60_000 })
      expect.soft(await seriousFindings(page), station).toEqual([])
    }
    await context.close()
  })
})

const clip: Omit<MainJob, 'corners'> = {
  file: join(repository, 'tests/data/clips/b_three_as_cut.mp4'),
  time: /^Filmed at 240/,
  width: '420 ± 0.3',
  height: '285 ± 0.3',
  slope_deg: 1.6,
  diameter: '19.05 mm (3/4 in)',
  included: undefined,
  every: 16,
}

/** The whole job in somebody's hands; every figure on the page within its U of the truth. */
async function measured(page: Page, hands: Hands): Promise<void> {
  const errors = collectErrors(page)
  const { seen, lane, corners } = await filmedBall(join(repository, 'tests/data/clips/b_three_as_cut.truth.json'), 'A1')
  const marked = everyNth(seen, clip.every)
  await doMainJob(page, served.address, { ...clip, corners }, seen, marked, hands)
  const read = await readFigures(page, hands)
  const truth = trueFigures(seen, lane, marked, read)
  for (const name of ['entry', 'exit', 'acceleration', 'crr'] as const) {
    console.log(`${name} ${read[name].value} ± ${read[name].U}, truth ${truth[name].toPrecision(5)}`)
    expect(Math.abs(read[name].value - truth[name]), name).toBeLessThanOrEqual(read[name].U)
  }
  expect(errors).toEqual([])
}

describe('the whole main job', () => {
  test('by keyboard alone', { timeout: 600_000 }, async () => {
    const context = await served.browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
    const page = await context.newPage()
    await measured(page, keys(page))
    await context.close()
  })

  test.runIf(longRun)('by touch on a screen 390 px wide', { timeout: 600_000 }, async () => {
    const context = await served.browser.newContext({
      viewport: { width: 390, height: 844 },
      deviceScaleFactor: 2,
      hasTouch: true,
      isMobile: true,
      serviceWorkers: 'block',
    })
    const page = await context.newPage()
    await measured(page, await fingers(page))
    await context.close()
  })
})
