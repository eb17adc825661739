import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { readRecord, stableJson } from '../../workers/record/index.ts'
import { builtSite } from '../../web/server/built.ts'
import { launchBrowser } from '../support/browser.ts'
import { serveCompressed } from '../support/compressed-server.ts'
import { largeRecord } from '../support/large-record.ts'
import { collectable, heldBy, shortClips, useClip, type Held } from '../support/long-use.ts'
import { chooseInMenu, kept } from '../support/record-page.ts'
import { goTo } from '../support/stations-page.ts'
import { clocks, timedPage, type PageTimes } from '../support/timed-page.ts'
import { figure, median, percentile, type Figure } from './figure.ts'

const loads = 5
const changes = 250
/** After this many rounds every cache has its size. */
const warmRounds = 2
/** One key or press a second for an hour. */
const hour = 3600

/** Large records, the first load, and memory over long use. PART names one of them: load, record or memory. */
export async function run(): Promise<Figure[]> {
  const parts = { load: firstLoad, record: large, memory: longUse }
  const wanted = process.env['PART'] ?? ''
  const figures: Figure[] = []
  for (const [name, part] of Object.entries(parts))
    if (wanted === '' || wanted === name) figures.push(...(await part()))
  return figures
}

/** Serves a folder and starts a browser around some work, with a folder for its files. */
async function around(
  site: string,
  work: (browser: Browser, address: string, folder: string, sent: Map<string, number>) => Promise<Figure[]>,
  browserArguments: readonly string[] = [],
): Promise<Figure[]> {
  const server = await serveCompressed(site)
  const browser = await launchBrowser(browserArguments)
  const folder = mkdtempSync(join(tmpdir(), 'slowlane-bench-'))
  try {
    return await work(browser, `${server.address}/`, folder, server.sent)
  } finally {
    rmSync(folder, { recursive: true, force: true })
    await browser.close()
    await server.close()
  }
}

const firstLoad = async (): Promise<Figure[]> =>
  around(await builtSite(), (browser, address, _, sent) => timeLoads(browser, address, sent))

/** Bytes and time until the first screen can be used. The profile is the slow phone of common audits. */
async function timeLoads(browser: Browser, address: string, sent: Map<string, number>): Promise<Figure[]> {
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

const large = async (): Promise<Figure[]> => around(await timedPage(), timeLarge)

/**
 * Opening, changing and saving 200 runs of 500 marks; the changes are marks nudged by keys on the Marks station, with autosave at work.
 * `record.commit` is the change itself: the call of the one door until it returns, when the new state and its undo entry stand, everybody who listens
 * was told and the change is with autosave. `record.journal` goes on until storage was given its line, `record.kept` until storage confirmed that it
 * lies on the disk. `record.key_to_free` and `record.key_to_painted` are what a person waits for: from the key until the page takes the next one, and
 * until the changed picture is painted, the wait for the screen's next refresh included.
 */
async function timeLarge(browser: Browser, address: string, folder: string): Promise<Figure[]> {
  const record = largeRecord()
  const path = join(folder, 'large.slowlane.json')
  writeFileSync(path, stableJson(record))
  const context = await newContext(browser)
  await context.addInitScript(clocks)
  const page = await context.newPage()
  const opens: number[] = []
  for (let n = 0; n < loads; n++) {
    await page.goto(address)
    await page.evaluate('sessionStorage.clear()')
    await page.reload()
    opens.push(await openRecord(page, path, record.title))
  }
  await goTo(page, 'Marks')
  await page.locator('.row-button').first().click()
  await page.getByRole('heading', { name: /^Run \d+ of lane/ }).waitFor()
  // The first change also brings a whole copy of the record into storage; it is told apart.
  const first = await timeNudges(page, 1)
  const times = await timeNudges(page, changes)
  const saves = await timeSaves(page)
  await context.close()
  const from = ([called]: readonly [number, number], to: number | undefined) => (to ?? NaN) - called
  const since = times.commits.map(([called, returned]) => returned - called)
  const p95 = (name: string, values: readonly number[]) => figure(`${name}.p95_ms`, percentile(values, 0.95), 'ms')
  return [
    figure('record.file_mb', statSync(path).size / 1e6, 'MB'),
    figure('record.open_s', median(opens), 's'),
    figure('record.save_s', median(saves), 's'),
    figure('record.commit.p50_ms', percentile(since, 0.5), 'ms'),
    p95('record.commit', since),
    figure('record.commit.worst_ms', Math.max(...since), 'ms'),
    p95(
      'record.journal',
      times.commits.map((commit, i) => from(commit, times.posted[i])),
    ),
    p95(
      'record.kept',
      times.commits.map((commit, i) => from(commit, times.confirmed[i])),
    ),
    figure('record.first_kept_ms', from(first.commits[0]!, first.confirmed[0]), 'ms'),
    p95(
      'record.key_to_free',
      times.keys.map(({ pressed, free }) => free - pressed),
    ),
    p95(
      'record.key_to_painted',
      times.keys.map(({ pressed, painted }) => painted - pressed),
    ),
  ]
}

/** Nudges the mark on show by keys, to and fro, and reads the page's clocks once storage confirmed all of it. */
async function timeNudges(page: Page, count: number): Promise<PageTimes> {
  await page.evaluate('forgetTimes()')
  for (let n = 0; n < count; n++) await page.keyboard.press(n % 2 === 0 ? 'Alt+ArrowRight' : 'Alt+ArrowLeft')
  await kept(page)
  if ((await page.getByRole('button', { name: /^Undo: move the mark/ }).count()) !== 1)
    throw new Error('the keys moved no mark')
  const times = await page.evaluate<PageTimes>('pageTimes()')
  for (const [what, { length }] of Object.entries(times))
    if (length !== count) throw new Error(`${length} ${what} were timed, not ${count}`)
  return times
}

async function timeSaves(page: Page): Promise<number[]> {
  const saves: number[] = []
  for (let n = 0; n < loads; n++) {
    const start = performance.now()
    const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Control+s')])
    const saved = await download.path()
    saves.push((performance.now() - start) / 1000)
    if (n === 0 && readRecord(readFileSync(saved, 'utf8')).kind !== 'ok')
      throw new Error('what was saved does not read')
  }
  return saves
}

const longUse = async (): Promise<Figure[]> => around(await builtSite(), keepUsing, collectable)

/** An hour of stepping, finding, correcting and undoing over three clips, a key or press a second, with the pauses left out. Growth counts from when each clip has been used twice: from then on every cache has its size. */
async function keepUsing(browser: Browser, address: string, folder: string): Promise<Figure[]> {
  const record = shortClips()
  const path = join(folder, 'long-use.slowlane.json')
  writeFileSync(path, stableJson(record))
  const context = await newContext(browser)
  const page = await context.newPage()
  await page.goto(address)
  await openRecord(page, path, record.title)
  await goTo(page, 'Marks')
  const held: Held[] = []
  const whole = Number(process.env['ACTIONS'] ?? hour)
  for (let actions = 0; actions < whole || held.length <= warmRounds;) {
    for (const { id } of Object.values(record.clips)) actions += await useClip(page, id)
    held.push(await heldBy(page, browser))
    const { process_mib, scripts_mib } = held.at(-1)!
    console.log(
      `after ${actions} actions: ${process_mib.toFixed(0)} MiB, ${scripts_mib.toFixed(1)} MiB of them objects`,
    )
  }
  await context.close()
  const grown = (of: (one: Held) => number) => Math.max(...held.slice(warmRounds).map(of)) - of(held[warmRounds - 1]!)
  return [
    figure('memory.session_first_round_mib', held[0]!.process_mib, 'MiB'),
    figure('memory.session_held_mib', held.at(-1)!.process_mib, 'MiB'),
    figure(
      'memory.session_growth_mib',
      grown((one) => one.process_mib),
      'MiB',
    ),
    figure(
      'memory.session_objects_growth_mib',
      grown((one) => one.scripts_mib),
      'MiB',
    ),
  ]
}
