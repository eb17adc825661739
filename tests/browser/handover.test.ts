import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import type { Server } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { strFromU8, unzipSync } from 'fflate'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { builtSite } from '../../web/server/built.ts'
import { runCommand } from '../../web/server/command/command.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { repository } from '../support/repository.ts'
import { goTo } from '../support/stations-page.ts'

let browser: Browser
let server: Server
let page: Page
let errors: string[]
let folder: string

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'handover-'))
  server = await serveSite(await builtSite(), 0)
  browser = await launchBrowser()
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  await context.grantPermissions(['clipboard-read', 'clipboard-write'])
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
  page = await context.newPage()
  errors = collectErrors(page)
  await page.goto(`http://localhost:${portOf(server)}/`)
  await page.getByRole('button', { name: 'Open the demo' }).click()
  await goTo(page, 'Handover')
  await page.locator('.form-sheet').waitFor({ timeout: 60_000 })
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
  rmSync(folder, { recursive: true, force: true })
})

const form = (title: string) => page.getByRole('article', { name: title, exact: true })
const choose = (name: RegExp) =>
  page.getByRole('navigation', { name: 'Forms of the friction' }).getByRole('button', { name }).click()

async function saved(press: () => Promise<void>): Promise<Buffer> {
  const [download] = await Promise.all([page.waitForEvent('download'), press()])
  return readFileSync(await download.path())
}

describe('the demo handed over', { timeout: 180_000 }, () => {
  test('lane A: the drag at the centre is C_rr·m·g·cos θ of what Results says', async () => {
    const record = JSON.parse(readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8')) as {
      settings: { gravity: { g_m_s2: { value: number } } }
    }
    const text = await form('Drag at the centre').innerText()
    const drag = Number(/dry drag\s+([\d.]+) ±/.exec(text)![1])
    const perMass = Number(/^dry = ([\d.]+)/m.exec(text)![1])
    const mass = Number(/^mass = ([\d.]+)/m.exec(text)![1])
    const slope = Number(/measured slope of ([\d.]+)°/.exec(text)![1])
    const row = await page.locator('.handover-lanes tbody tr.chosen').innerText()
    const crr = Number(/(0\.\d+) ± /.exec(row)![1])
    const g = record.settings.gravity.g_m_s2.value
    // Half a unit of the last digit shown: of C_rr 5e-6, of the drag 5e-6 N.
    expect(Math.abs(perMass - crr * g * Math.cos((slope * Math.PI) / 180))).toBeLessThan(5e-6 * g + 1e-6)
    expect(Math.abs(drag - perMass * mass)).toBeLessThan(5e-6)
  })

  test('a refused form hands nothing over and says why; a limited one warns', async () => {
    await choose(/^Bullet, refused/)
    const refused = await form('Bullet').innerText()
    expect(refused).toContain('two contacts')
    expect(refused).toContain('Use the drag at the centre')
    expect(await form('Bullet').getByRole('button').count()).toBe(0)
    await choose(/^MJCF: friction loss of a free joint, limited/)
    expect(await form('MJCF: friction loss of a free joint').innerText()).toContain('1.41 times too great')
  })

  test('what is copied is what stands there; the file is the form’s; a heading turns it', async () => {
    await choose(/^MJCF: the whole lane, valid/)
    const sheet = form('MJCF: the whole lane')
    await sheet.getByRole('button', { name: 'Copy' }).click()
    await page.getByText('Copied: MJCF: the whole lane.').waitFor()
    expect(await page.evaluate(() => navigator.clipboard.readText())).toBe(await sheet.locator('pre').textContent())
    const save = () => saved(() => sheet.getByRole('button', { name: /^Save .*\.xml$/ }).click())
    const straight = (await save()).toString()
    expect(straight).toMatch(/^<(\?xml|mujoco|!--)/)
    await page.getByLabel('heading of the lane in files').fill('90')
    await page.keyboard.press('Enter')
    await expect.poll(async () => (await save()).toString()).not.toBe(straight)
  })

  test('every run rolled once more comes within 0.5 % of its measured time', async () => {
    const rows = await page.locator('.rerun-table tbody tr').allInnerTexts()
    expect(rows).toHaveLength(5)
    for (const row of rows) {
      const percent = Number(/([+−]?\d+\.\d+) %/.exec(row)![1]!.replace('−', '-'))
      expect(Math.abs(percent)).toBeLessThan(0.5)
    }
  })

  test('the zip is, byte for byte, what the command writes', async () => {
    const zip = await saved(() => page.getByRole('button', { name: 'Save all in one zip' }).click())
    const ours = unzipSync(new Uint8Array(zip))
    const { created } = JSON.parse(strFromU8(ours['datapackage.json']!)) as Record<string, string>
    const { version } = JSON.parse(readFileSync(join(repository, 'package.json'), 'utf8')) as Record<string, string>
    const recordFile = join(folder, 'record.json')
    writeFileSync(recordFile, ours['record.slowlane.json']!)
    const code = await runCommand(['results', recordFile, '--zip', join(folder, 'all.zip'), '--at', created!], {
      out: () => undefined,
      complain: () => undefined,
      version: version!,
      now: () => created!,
    })
    expect(code).toBe(0)
    const theirs = readFileSync(join(folder, 'all.zip'))
    const files = unzipSync(new Uint8Array(theirs))
    expect(Object.keys(ours)).toEqual(Object.keys(files))
    for (const path of Object.keys(ours)) expect(strFromU8(ours[path]!), path).toBe(strFromU8(files[path]!))
    expect(Buffer.compare(zip, theirs)).toBe(0)
  })

  test('marks go out as CSV and come back to the same result, as one step that undo takes back', async () => {
    const csv = await saved(() => page.getByRole('button', { name: 'marks.csv' }).click())
    const lines = csv.toString().split('\r\n')
    const x = lines[0]!.split(',').indexOf('x_px')
    expect(x).toBeGreaterThan(0)
    const crr = () => page.locator('.handover-lanes tbody').innerText()
    const before = await crr()
    const choose = async (name: string, text: string) => {
      const [chooser] = await Promise.all([
        page.waitForEvent('filechooser'),
        page.getByRole('button', { name: 'Choose a table' }).click(),
      ])
      await chooser.setFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text) })
    }
    await choose('same.csv', csv.toString())
    await page.getByRole('button', { name: 'Import', exact: true }).click()
    await page.getByText('same.csv holds the marks that the record has already.').waitFor()

    const bent = lines.map((line, i) => {
      const cells = line.split(',')
      if (i === 0 || cells.length < 3) return line
      if (i === 5) return [...cells.slice(0, x), 'smudged', ...cells.slice(x + 1)].join(',')
      return [...cells.slice(0, x), String(Number(cells[x]) * (1 + 1e-4 * (i % 7))), ...cells.slice(x + 1)].join(',')
    })
    await choose('bent.csv', bent.join('\r\n'))
    await page.getByText('Line 6, column x_px: “smudged” is no number.').waitFor()
    await page.getByRole('button', { name: 'Import', exact: true }).click()
    await expect.poll(crr, { timeout: 30_000 }).not.toBe(before)
    await choose('same.csv', csv.toString())
    await page.getByRole('button', { name: 'Import', exact: true }).click()
    await expect.poll(crr, { timeout: 30_000 }).toBe(before)
    await page.getByRole('button', { name: 'Undo: import same.csv' }).click()
    await expect.poll(crr, { timeout: 30_000 }).not.toBe(before)
    await page.getByRole('button', { name: 'Undo: import bent.csv' }).click()
    await expect.poll(crr, { timeout: 30_000 }).toBe(before)
  })

  test.each(['light', 'dark'] as const)('no serious finding of axe in %s', async (colorScheme) => {
    await page.emulateMedia({ colorScheme })
    await page.evaluate(readFileSync(join(repository, 'node_modules/axe-core/axe.min.js'), 'utf8'))
    const serious: unknown = await page.evaluate(`axe.run().then((found) => found.violations
      .filter((one) => one.impact === 'serious' || one.impact === 'critical')
      .map((one) => one.id + ': ' + one.nodes.map((node) => node.target).join(' ')))`)
    expect(serious).toEqual([])
  })

  test('the report prints on A4 and Letter: several pages, nothing cut off, no number that is none', async () => {
    await page.getByRole('link', { name: 'Open the report' }).click()
    await page.locator('.report[data-ready=true]').waitFor({ timeout: 60_000 })
    const report = page.locator('.report')
    const text = await report.innerText()
    expect(text).not.toMatch(/NaN|undefined|\[object|Infinity/)
    for (const part of ['Results', 'What was filmed', 'Comparisons of', 'Margins', 'Method', 'Versions and hashes'])
      expect(text).toContain(part)
    expect(await page.getByRole('button', { name: 'Print', exact: true }).isEnabled()).toBe(true)
    expect(await report.locator('.report-missing').allInnerTexts()).toEqual([])
    const plots = await report
      .locator('img')
      .evaluateAll((all) => all.map((img) => (img as HTMLImageElement).naturalWidth))
    expect(plots.length).toBeGreaterThan(20)
    expect(Math.min(...plots)).toBeGreaterThan(0)
    for (const format of ['A4', 'Letter'] as const) {
      const pdf = (await page.pdf({ format, printBackground: true })).toString('latin1')
      expect(pdf.match(/\/Type\s*\/Page\b/g)!.length).toBeGreaterThan(3)
    }
    // Letter's height less margins is the shorter, A4's width less margins the narrower: 180 mm.
    await page.emulateMedia({ media: 'print' })
    await page.setViewportSize({ width: 680, height: 900 })
    const wide = await report.evaluate((element) =>
      [...element.querySelectorAll('*')]
        .filter((one) => one.getBoundingClientRect().right > 681 && !one.closest('svg'))
        .map((one) => `${one.tagName} ${one.textContent.slice(0, 40)}`),
    )
    expect(wide).toEqual([])
    expect(errors).toEqual([])
  })
})
