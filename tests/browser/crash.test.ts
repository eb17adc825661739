import type { Server } from 'node:http'
import { setTimeout as wait } from 'node:timers/promises'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { stableJson, type SlowlaneRecord } from '../../workers/record/index.ts'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { crashRecord, expectedOf, holds, Sitting, type Action, type Expected } from '../support/crash-session.ts'
import { longRun } from '../support/long-run.ts'
import { perishableBrowser, type PerishableBrowser } from '../support/perishable-browser.ts'
import { seededRandom } from '../support/random-order.ts'
import { savedFile } from '../support/stations-page.ts'

const kills = longRun ? 200 : 20

let server: Server
let address: string
let browser: PerishableBrowser

beforeAll(async () => {
  server = await serveSite(await builtSite(), 0)
  address = `http://localhost:${portOf(server)}/`
  // A window for choosing files has no place in an unattended browser.
  browser = perishableBrowser('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
})

/** One moment: the actions of a sitting, what is done when the end comes, how long after its beginning, and what is killed. */
interface Moment {
  readonly actions: readonly Action[]
  readonly last: Action
  readonly delay_ms: number
  readonly kill: 'browser' | 'page'
  readonly random: () => number
}

function moment(seed: number): Moment {
  const random = seededRandom(1000 + seed)
  const pick = (): Action => {
    const at = random()
    if (at < 0.62) return 'mark'
    if (at < 0.74) return 'undo'
    if (at < 0.8) return 'redo'
    if (at < 0.92) return 'rename'
    return 'save'
  }
  const actions = Array.from({ length: 1 + Math.floor(5 * random()) }, pick)
  const last = seed % 5 === 4 ? 'follow' : pick()
  // Long enough for the action to be anywhere between its first key and its copy on the disk.
  const delay_ms = Math.floor(random() * (last === 'follow' ? 2500 : 350))
  return { actions, last, delay_ms, kill: seed % 4 === 0 ? 'browser' : 'page', random }
}

/** Opens the record that the browser keeps, from the first screen; what the page hands out as its file is what it holds. */
async function reopen(page: Page): Promise<{ record: SlowlaneRecord | undefined; lost: number }> {
  await page.goto(address)
  await page.locator('table.kept button.link').first().click()
  await page.getByRole('navigation', { name: 'Stations' }).waitFor()
  const lost = await page.getByText(/could not be read back/).count()
  const read = await savedFile(page)
  return { record: read.kind === 'ok' ? read.record : undefined, lost }
}

/** How many of the actions that were seen to be done are missing; undefined when the record is none of the states it went through. */
function missing(record: SlowlaneRecord, sitting: Sitting, begin: SlowlaneRecord): number | undefined {
  if (sitting.underWay && holds(record, sitting.underWay, begin)) return 0
  const at = sitting.states.findLastIndex((state) => holds(record, state, begin))
  return at < 0 ? undefined : sitting.states.length - 1 - at
}

test(
  `killed at ${kills} moments of marking, following, undoing and saving, a record comes back whole but for the last action at most`,
  { timeout: 120 * 60_000 },
  async () => {
    const begin = crashRecord()
    const losses: number[] = []
    const broken: string[] = []
    let opened: Expected = expectedOf(begin)
    let page = await (await browser.context()).newPage()
    await page.goto(address)
    const [chooser] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.getByRole('button', { name: 'open a record from a file' }).click(),
    ])
    await chooser.setFiles({
      name: 'begin.slowlane.json',
      mimeType: 'application/json',
      buffer: Buffer.from(stableJson(begin)),
    })
    await page.getByRole('navigation', { name: 'Stations' }).waitFor()

    for (let k = 0; k < kills; k++) {
      const { actions, last, delay_ms, kill, random } = moment(longRun ? k : 10 * k + (k % 7))
      const sitting = new Sitting(page, opened)
      await sitting.begin()
      // A record enters storage with its first change.
      if (k === 0) await sitting.act('rename', random())
      for (const action of actions) await sitting.act(action, random())
      const seen = sitting.states.length
      // The page may end in the middle of it, and whatever waits for the page with it.
      const dying = sitting.act(last, random()).catch(() => undefined)
      await wait(delay_ms)
      if (kill === 'browser') await browser.kill()
      else await browser.crash(page)
      await dying
      page = await (await browser.context()).newPage()
      const { record, lost } = await reopen(page)
      const gone = record && missing(record, sitting, begin)
      if (record === undefined || gone === undefined || lost > 0) {
        broken.push(
          `moment ${k}, ${kill} killed ${delay_ms} ms into ${last} after ${seen - 1}: ${what(record, sitting)}`,
        )
        break
      }
      losses.push(gone)
      opened = expectedOf(record)
      if (losses.length % 20 === 0)
        console.log(`${losses.length} of ${kills} kills: at most ${Math.max(...losses)} actions lost`)
    }
    const worst = Math.max(...losses)
    console.log(
      `figure record.crash.lost_max ${worst} actions (${losses.filter((n) => n > 0).length} of ${kills} lost one)`,
    )
    console.log(`figure record.crash.broken ${broken.length} of ${kills}`)
    expect(broken).toEqual([])
    expect(losses).toHaveLength(kills)
    expect(worst).toBeLessThanOrEqual(1)
  },
)

const what = (record: SlowlaneRecord | undefined, sitting: Sitting): string =>
  record === undefined
    ? 'no valid record'
    : `${JSON.stringify(expectedOf(record))} is none of ${JSON.stringify([...sitting.states, sitting.underWay])}`
