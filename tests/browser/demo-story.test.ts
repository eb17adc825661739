import type { Server } from 'node:http'
import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { goTo } from '../support/stations-page.ts'

let browser: Browser
let server: Server
let page: Page
let errors: string[]

beforeAll(async () => {
  server = await serveSite(await builtSite(), 0)
  browser = await launchBrowser()
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  page = await context.newPage()
  errors = collectErrors(page)
  await page.goto(`http://localhost:${portOf(server)}/`)
  await page.getByRole('button', { name: 'Open the demo' }).click()
  await page.getByRole('navigation', { name: 'Stations' }).waitFor()
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
})

/** Rows of the comparison, lane by lane, once they say something. */
async function verdicts(): Promise<Record<string, string>> {
  const rows = page.locator('.compare-table tbody tr')
  await rows.first().waitFor({ timeout: 60_000 })
  const texts = await rows.evaluateAll((all) =>
    all.map((row) => [
      row.querySelector('th')?.textContent?.replace(/^lane/, '').trim() ?? '',
      row.lastElementChild?.textContent?.trim() ?? '',
    ]),
  )
  return Object.fromEntries(texts) as Record<string, string>
}

const rowOf = (lane: string, finish: string): Locator =>
  page.locator('.margin-table tbody tr', { hasText: finish }).filter({ has: page.locator('th', { hasText: lane }) })

describe('the demo tells a story', { timeout: 180_000 }, () => {
  test('of sanding: beyond doubt on one lane, not yet on another, and how many runs would settle it', async () => {
    await goTo(page, 'Compare')
    const said = await verdicts()
    expect(said['A']).toMatch(/^Yes: C_rr fell by 0\.00\d+ ± 0\.000\d+\.$/)
    expect(said['B']).toMatch(/^Cannot tell yet: [3-6] more runs of each would settle it\.$/)
    expect(said['C']).toMatch(/^Yes: C_rr fell by 0\.00\d+ ± 0\.00\d+\.$/)
    const sheet = page.getByRole('region', { name: 'Comparison of lane A' })
    expect(await sheet.innerText()).toContain('It fell all along the lane')
  })

  test('that clip against clip tells too, from the same runs', async () => {
    await goTo(page, 'Compare')
    await page.getByRole('radio', { name: 'clip against clip' }).check()
    await page.getByLabel('to', { exact: true }).selectOption({ label: 'lanes-sanded.mp4' })
    await page.locator('.compare-table th', { hasText: 'lanes-sanded.mp4' }).waitFor({ timeout: 60_000 })
    const said = await verdicts()
    expect(said['A']).toMatch(/^Yes: C_rr fell by /)
    expect(said['B']).toMatch(/^Cannot tell yet/)
    await page.getByLabel('to', { exact: true }).selectOption({ label: 'lane-a-both-ways.mp4' })
    await page.locator('.compare-table th', { hasText: 'lane-a-both-ways.mp4' }).waitFor({ timeout: 60_000 })
    expect((await verdicts())['B']).toBe('Lane B has no run in “lane-a-both-ways.mp4”.')
  })

  test('of a lane short of its margin, with the shim that gives it and what that costs', async () => {
    await goTo(page, 'Margin')
    await rowOf('C', 'as cut').waitFor({ timeout: 60_000 })
    const short = rowOf('C', 'as cut')
    expect(await short.innerText()).toContain('short of margin')
    if ((await short.getAttribute('class')) !== 'chosen') await short.getByRole('button').click()
    const heading = page.getByRole('heading', { name: /as cut\. Short of margin: 99 % of moving balls keep rolling/ })
    await heading.waitFor()
    const [, least, stands] = /from ([\d.]+)° on, and the lane has ([\d.]+)°/.exec(await heading.innerText())!
    const ways = page.getByRole('table', { name: /Ways to change this lane/ })
    const raise = await ways.getByRole('row', { name: /Raise the upper end/ }).innerText()
    // The two posts stand 500 mm apart along the lane: raising one by h turns it by h/500.
    const raised_mm = Number(/raise by ([\d.]+) mm/.exec(raise)![1])
    const needed_mm = 500 * (Math.sin(Number(least) * degree) - Math.sin(Number(stands) * degree))
    expect(Math.abs(raised_mm - needed_mm)).toBeLessThan(0.1)
    expect(raise).toMatch(/washers 2 × M10/)
    const [, , , spare, exit] = raise.split('\t')
    expect(Number(spare)).toBeGreaterThanOrEqual(0)
    expect(Number(/^[\d.]+/.exec(exit!)![0])).toBeGreaterThan(0.35)
  })

  test('without an error on the way', () => {
    expect(errors).toEqual([])
  })
})

const degree = Math.PI / 180
