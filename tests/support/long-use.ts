import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { readRecord, type SlowlaneRecord } from '../../workers/record/index.ts'
import { repository } from './repository.ts'
import { shown, stage } from './stations-page.ts'

/** For `launchBrowser`: the page and its threads can be asked to collect what they let go. */
export const collectable = ['--js-flags=--expose-gc']

/** The demo's three clips, each cut short, without runs. */
export function shortClips(): SlowlaneRecord {
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

/** What somebody does with one clip, on the Marks station: steps through it both ways, has its runs found, takes them back and has them again. Returns how many keys and presses it took. */
export async function useClip(page: Page, clipId: string): Promise<number> {
  let actions = 0
  const press = async (key: string, times = 1): Promise<void> => {
    for (let n = 0; n < times; n++) await page.keyboard.press(key)
    actions += times
  }
  await page.getByRole('combobox', { name: 'Clip' }).selectOption(clipId)
  await shown(page, 150)
  await stage(page).focus()
  await press('ArrowRight', 60)
  await shown(page, 210)
  await press('Shift+ArrowRight', 5)
  await press('ArrowLeft', 30)
  await shown(page, 230)
  await page.getByRole('button', { name: 'Find runs' }).click()
  await page.getByRole('button', { name: /^Undo: find/ }).waitFor({ timeout: 120_000 })
  // The tool brings the first found run up; its marks are corrected one after another, and everything is taken back.
  for (let n = 0; n < 10; n++) {
    await press('Alt+ArrowRight')
    await press('PageDown')
  }
  await press('Control+z', 11)
  await page.getByRole('button', { name: /^Redo: find/ }).waitFor()
  await press('Control+Shift+Z', 11)
  await page.getByRole('button', { name: 'Redo', exact: true }).waitFor()
  await press('Control+z', 11)
  await page.getByRole('button', { name: /^Redo: find/ }).waitFor()
  return actions + 2
}

export interface Held {
  /** What the page's process has for itself, with all its threads: pictures, decoders and code included [MiB]. */
  readonly process_mib: number
  /** What the page and its threads hold as objects and arrays, as the browser counts it [MiB]. */
  readonly scripts_mib: number
}

/** Memory of the page once it is at rest and everything that was let go is collected, in the page and in each of its threads. */
export async function heldBy(page: Page, browser: Browser): Promise<Held> {
  let before = await measure(page, browser)
  for (let n = 0; n < atRest.tries; n++) {
    await page.waitForTimeout(atRest.wait_ms)
    const now = await measure(page, browser)
    if (Math.abs(now.process_mib - before.process_mib) < atRest.within_mib) return now
    before = now
  }
  return before
}

/** Pictures are still fetched ahead for a while after the last key; at rest the memory stays as it is. */
const atRest = { tries: 10, wait_ms: 1500, within_mib: 3 }

async function measure(page: Page, browser: Browser): Promise<Held> {
  const threads: readonly { evaluate(code: string): Promise<unknown> }[] = [page, ...page.workers()]
  for (let n = 0; n < 3; n++)
    for (const thread of threads) await thread.evaluate('gc(); new Promise((done) => setTimeout(done, 50))')
  const bytes = await page.evaluate<number>('performance.measureUserAgentSpecificMemory().then(({ bytes }) => bytes)')
  const devtools = await browser.newBrowserCDPSession()
  const { processInfo } = await devtools.send('SystemInfo.getProcessInfo')
  await devtools.detach()
  const own = processInfo.filter(({ type }) => type === 'renderer').map(({ id }) => privateMemory_mib(id))
  return { process_mib: Math.max(...own), scripts_mib: bytes / 1024 ** 2 }
}

function privateMemory_mib(pid: number): number {
  const rollup = readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8')
  return [...rollup.matchAll(/^Private_\w+:\s+(\d+) kB/gm)].reduce((sum, [, kb]) => sum + Number(kb) / 1024, 0)
}
