import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { expect, test } from 'vitest'
import { collectErrors } from '../support/browser.ts'
import { openFile } from '../support/record-page.ts'
import { repository } from '../support/repository.ts'
import { servedPage } from '../support/served-page.ts'
import { goTo } from '../support/stations-page.ts'

const served = servedPage()

const hostile =
  '<marquee>m</marquee><img src=x onerror="ran=1"><svg onload="ran=1"></svg><a href="javascript:ran=1">a</a><script>ran=1</script>'

/** The demo with markup in every name, title and note that a person or a file gives. */
function hostileRecord(): string {
  let count = 0
  const changed: unknown = JSON.parse(
    readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8'),
    (key, value) =>
      typeof value === 'string' && ['name', 'title', 'note', 'basis', 'material'].includes(key)
        ? `${hostile} ${(count += 1)}`
        : (value as unknown),
  )
  expect(count).toBeGreaterThan(20)
  return JSON.stringify({ ...(changed as object), id: 'hostile' })
}

/** Elements and scripts that came out of a name. */
const cameOut = (page: Page): Promise<unknown> =>
  page.evaluate(`[
    ...[...document.querySelectorAll('marquee, img[src=x], [onerror], [onload], a[href^=javascript], script:not([src])')]
      .map((element) => element.outerHTML),
    ...('ran' in window ? ['a script ran'] : []),
  ]`)

test('names full of markup stay words: at every station, in plots and in the report nothing of them becomes an element or runs', async () => {
  const context = await served.browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  await context.addInitScript(`addEventListener('securitypolicyviolation', (event) =>
    console.error('breach of ' + event.violatedDirective + ': ' + event.blockedURI))
    delete window.showOpenFilePicker`)
  const page = await context.newPage()
  const errors = collectErrors(page)
  page.on('dialog', (dialog) => {
    errors.push(`a dialog opened: ${dialog.message()}`)
    void dialog.dismiss()
  })
  await page.goto(served.address)
  await openFile(page, `${hostile.replaceAll('/', '')}.json`, hostileRecord())
  for (const station of ['Results', 'Compare', 'Margin', 'Handover', 'Footage', 'Time', 'Scale', 'Lanes', 'Marks']) {
    await goTo(page, station)
    const isSheet = ['Results', 'Compare', 'Margin', 'Handover'].includes(station)
    await (isSheet ? page.locator('main table').first() : page.locator('.workplace')).waitFor({ timeout: 60_000 })
    if (station === 'Results') await page.locator('.js-plotly-plot').first().waitFor({ timeout: 60_000 })
    expect(await page.locator('body').textContent(), station).toContain('<marquee>')
    expect(await cameOut(page), station).toEqual([])
  }
  await page.evaluate("location.hash = '#/handover/report'")
  await page.locator('.js-plotly-plot').first().waitFor({ timeout: 60_000 })
  expect(await page.locator('main').textContent()).toContain('<marquee>')
  expect(await cameOut(page)).toEqual([])
  await page.evaluate("location.hash = '#/kept'")
  expect(await cameOut(page)).toEqual([])
  expect(await page.title()).toBeTruthy()
  expect(errors).toEqual([])
  await context.close()
})
