import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { readRecord, stableJson, type SlowlaneRecord } from '../../workers/record/index.ts'
import { builtSite } from '../../web/server/built.ts'
import { launchBrowser } from '../support/browser.ts'
import { serveCompressed } from '../support/compressed-server.ts'
import { largeRecord } from '../support/large-record.ts'
import { chooseInMenu, kept } from '../support/record-page.ts'
import { repository } from '../support/repository.ts'
import { goTo, shown, stage } from '../support/stations-page.ts'
import { figure, median, percentile, type Figure } from './figure.ts'

const loads = 5
const changes = 250
const rounds = Number(process.env['ROUNDS'] ?? 10)
/** After this many rounds every cache has its size. */
const warmRounds = 2

/** Large records, the first load, and memory over long use, all in the built page. */
export async function run(): Promise<Figure[]> {
  const server = await serveCompressed(await builtSite())
  const browser = await launchBrowser()
  const folder = mkdtempSync(join(tmpdir(), 'slowlane-bench-'))
  const part = process.env['PART'] ?? ''
  try {
    return [
      ...(part === '' || part === 'load' ? await firstLoad(browser, `${server.address}/`, server.sent) : []),
      ...(part === '' || part === 'record' ? await large(browser, `${server.address}/`, folder) : []),
      ...(part === '' || part === 'memory' ? await longUse(browser, `${server.address}/`, folder) : []),
    ]
  } finally {
    rmSync(folder, { recursive: true, force: true })
    await browser.close()
    await server.close()
  }
}

/** Bytes and time until the first screen can be used. The profile is the slow phone of common audits. */
async function firstLoad(browser: Browser, address: string, sent: Map<string, number>): Promise<Figure[]> {
  const times: number[] = []
  for (let n = 0; n < loads; n++) {
    const context = await browser.newContext({ serviceWorkers: 'block' })
    const page = await context.newPage()
    const devtools = await context.newCDPSession(page)
    // 1.6 Mbit/s down, 150 ms there and back, a processor four times slower (Lighthouse documentation, “throttling”: mobile).
    await devtools.send('Network.emulateNetworkConditions', {
      offline: false,
      latency: 150,
      downloadThroughput: (1.6 * 1024 * 1024) / 8,
      uploadThroughput: (750 * 1024) / 8,
    })
    await devtools.send('Emulation.setCPUThrottlingRate', { rate: 4 })
    sent.clear()
    const start = performance.now()
    await page.goto(address, { waitUntil: 'commit' })
    await page.getByRole('button', { name: 'Menu' }).click()
    await page.getByRole('menuitem', { name: 'New record' }).waitFor()
    times.push((performance.now() - start) / 1000)
    await page.waitForLoadState('networkidle')
    await context.close()
  }
  const counted = [...sent].filter(([path]) => !/plotly|ffmpeg-core/.test(path))
  const bytes = counted.reduce((sum, [, size]) => sum + size, 0)
  return [figure('load.first_kb', bytes / 1000, 'kB'), figure('load.usable_s', median(times), 's')]
}

async function newContext(browser: Browser): Promise<BrowserContext> {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
  return context
}

async function openRecord(page: Page, path: string, title: string): Promise<number> {
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), chooseInMenu(page, 'Open …')])
  const start = performance.now()
  await chooser.setFiles(path)
  await page.waitForFunction(
    (to) => document.querySelector<HTMLInputElement>('.title-field input')?.value === to,
    title,
  )
  return (performance.now() - start) / 1000
}

/** Time from a key until the page is free again: the change, its drawing, and what autosave does in the page. */
const timeKeys = `{
  window.keyTimes = []
  const channel = new MessageChannel()
  let from
  channel.port1.onmessage = () => window.keyTimes.push(performance.now() - from)
  addEventListener('keydown', (event) => {
    if (!event.altKey || event.key === 'Alt') return
    from = performance.now()
    channel.port2.postMessage(0)
  }, true)
}`

async function large(browser: Browser, address: string, folder: string): Promise<Figure[]> {
  const record = largeRecord()
  const path = join(folder, 'large.slowlane.json')
  writeFileSync(path, stableJson(record))
  const context = await newContext(browser)
  await context.addInitScript(timeKeys)
  const page = await context.newPage()
  const opens: number[] = []
  const saves: number[] = []
  for (let n = 0; n < loads; n++) {
    await page.goto(address)
    await page.evaluate('sessionStorage.clear()')
    await page.reload()
    opens.push(await openRecord(page, path, record.title))
  }
  await goTo(page, 'Marks')
  await page.locator('.row-button').first().click()
  await page.getByRole('heading', { name: /^Run \d+ of lane/ }).waitFor()
  for (let n = 0; n < changes; n++) await page.keyboard.press(n % 2 === 0 ? 'Alt+ArrowRight' : 'Alt+ArrowLeft')
  await kept(page)
  const commits = await page.evaluate('window.keyTimes')
  const names = await page.getByRole('button', { name: /^Undo: move the mark/ }).count()
  const times = commits as number[]
  if (times.length !== changes || names !== 1) throw new Error(`${times.length} changes were timed, not ${changes}`)
  for (let n = 0; n < loads; n++) {
    const start = performance.now()
    const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Control+s')])
    const saved = await download.path()
    saves.push((performance.now() - start) / 1000)
    if (n === 0 && readRecord(readFileSync(saved, 'utf8')).kind !== 'ok')
      throw new Error('what was saved does not read')
  }
  await context.close()
  return [
    figure('record.file_mb', statSync(path).size / 1e6, 'MB'),
    figure('record.open_s', median(opens), 's'),
    figure('record.save_s', median(saves), 's'),
    figure('record.commit.p50_ms', percentile(times, 0.5), 'ms'),
    figure('record.commit.p95_ms', percentile(times, 0.95), 'ms'),
    figure('record.commit.worst_ms', Math.max(...times), 'ms'),
  ]
}

/** The demo's three clips, each cut short, without runs. */
function shortClips(): SlowlaneRecord {
  const read = readRecord(readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8'))
  if (read.kind !== 'ok') throw new Error(`the demo does not read: ${read.kind}`)
  const { record } = read
  const clips = Object.fromEntries(
    Object.entries(record.clips).map(([id, clip]) => [id, { ...clip, trim: { first: 150, last: 390 } }]),
  )
  return {
    ...record,
    id: 'long-use',
    title: 'long use',
    clips,
    runs: {},
    settings: { ...record.settings, extra: { demo: true } },
  }
}

/** Stepping, following and undoing over several clips, again and again; what the page's processes hold more at the end. */
async function longUse(browser: Browser, address: string, folder: string): Promise<Figure[]> {
  const record = shortClips()
  const path = join(folder, 'long-use.slowlane.json')
  writeFileSync(path, stableJson(record))
  const context = await newContext(browser)
  const page = await context.newPage()
  await page.goto(address)
  await openRecord(page, path, record.title)
  await goTo(page, 'Marks')
  let warm = 0
  const held: number[] = []
  for (let round = 1; round <= rounds; round++) {
    for (const { id } of Object.values(record.clips)) await useClip(page, id)
    held.push(await heldBy(page))
    if (round === warmRounds) warm = held.at(-1)!
  }
  console.log(`held after each round, MiB: ${held.map((n) => n.toFixed(0)).join(' ')}`)
  await context.close()
  return [
    figure('memory.session_held_mib', held.at(-1)!, 'MiB'),
    figure('memory.session_growth_mib', Math.max(...held.slice(warmRounds)) - warm, 'MiB'),
  ]
}

async function useClip(page: Page, clipId: string): Promise<void> {
  await page.getByRole('combobox', { name: 'Clip' }).selectOption(clipId)
  await shown(page, 150)
  await stage(page).focus()
  for (let n = 0; n < 60; n++) await page.keyboard.press('ArrowRight')
  await shown(page, 210)
  for (let n = 0; n < 5; n++) await page.keyboard.press('Shift+ArrowRight')
  for (let n = 0; n < 30; n++) await page.keyboard.press('ArrowLeft')
  await shown(page, 230)
  await page.getByRole('button', { name: 'Find runs' }).click()
  await page.getByRole('button', { name: /^Undo: find/ }).waitFor({ timeout: 120_000 })
  for (const key of ['Control+z', 'Control+Shift+Z', 'Control+z']) await page.keyboard.press(key)
  await page.getByRole('button', { name: /^Redo: find/ }).waitFor()
}

/** Memory of the page's process, with what decodes in it [MiB]: what is its own, after everything that is let go was collected. */
async function heldBy(page: Page): Promise<number> {
  const devtools = await page.context().newCDPSession(page)
  for (let n = 0; n < 3; n++) await devtools.send('HeapProfiler.collectGarbage')
  await devtools.detach()
  const browserTools = await page.context().browser()!.newBrowserCDPSession()
  const { processInfo } = await browserTools.send('SystemInfo.getProcessInfo')
  await browserTools.detach()
  const own = processInfo.filter(({ type }) => type === 'renderer').map(({ id }) => privateMemory_mib(id))
  return Math.max(...own)
}

function privateMemory_mib(pid: number): number {
  const rollup = readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8')
  return [...rollup.matchAll(/^Private_\w+:\s+(\d+) kB/gm)].reduce((sum, [, kb]) => sum + Number(kb) / 1024, 0)
}
