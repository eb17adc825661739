import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { readRecord, stableJson, type Run, type SlowlaneRecord } from '../../workers/record/index.ts'
import { repository } from './repository.ts'
import { goTo, press, shown, stage } from './stations-page.ts'

/** What a record must hold after a number of actions, from what was pressed and typed; nothing is asked of the page's own bookkeeping. */
export interface Expected {
  readonly title: string
  /** Marks by hand, run by run: frame and place as pressed [px]. */
  readonly byHand: readonly (readonly { readonly frame: number; readonly x: number; readonly y: number }[])[]
  /** How many runs were found; `some`: at least one, nobody saw how many. */
  readonly found: number | 'some'
}

export type Action = 'mark' | 'undo' | 'redo' | 'rename' | 'follow' | 'save'

/** The demo's record with one of its clips cut to two passages and no run: small enough to follow balls often. */
export function crashRecord(): SlowlaneRecord {
  const read = readRecord(readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8'))
  if (read.kind !== 'ok') throw new Error(`the demo does not read: ${read.kind}`)
  const { record } = read
  const clip = record.clips['both-ways']
  if (!clip) throw new Error('the demo has no clip of lane A both ways')
  return {
    ...record,
    id: 'to-be-killed',
    title: 'title 0',
    clips: { 'both-ways': { ...clip, trim: { first: 150, last: 300 } } },
    runs: {},
    settings: { ...record.settings, extra: { demo: true } },
  }
}

/** Everything of a record that no action of the session changes. */
const rest = (record: SlowlaneRecord): string => stableJson({ ...record, title: '', runs: {} })

const isByHand = (run: Run): boolean => run.marks.origin[0] !== 'found'

/** True when a record is exactly what is expected of it; places may be off by the rounding of the screen. */
export function holds(record: SlowlaneRecord, expected: Expected, begin: SlowlaneRecord): boolean {
  const runs = Object.values(record.runs)
  const byHand = runs.filter(isByHand)
  const found = runs.length - byHand.length
  return (
    record.title === expected.title &&
    (expected.found === 'some' ? found > 0 : found === expected.found) &&
    byHand.length === expected.byHand.length &&
    expected.byHand.every((marks) => byHand.some(({ marks: held }) => samePlaces(held, marks))) &&
    rest(record) === rest(begin)
  )
}

const samePlaces = (held: Run['marks'], marks: Expected['byHand'][number]): boolean =>
  held.frame.length === marks.length &&
  marks.every(({ frame, x, y }, i) => held.frame[i] === frame && Math.hypot(held.x[i]! - x, held.y[i]! - y) < 3)

/** What a record holds, as it was read back. */
export function expectedOf(record: SlowlaneRecord): Expected {
  const runs = Object.values(record.runs)
  const byHand = runs.filter(isByHand)
  return {
    title: record.title,
    byHand: byHand.map(({ marks }) => marks.frame.map((frame, i) => ({ frame, x: marks.x[i]!, y: marks.y[i]! }))),
    found: runs.length - byHand.length,
  }
}

/**
 * One sitting at the page with a record that is open on the Marks station: marks, follows, undoes, saves. `states` holds what the record
 * must be after each action that was seen to be done; the first is what was opened.
 */
export class Sitting {
  readonly states: Expected[]
  /** What the record becomes when the action under way is done; undefined when it changes nothing. */
  underWay: Expected | undefined
  readonly #page: Page
  readonly #past: { name: string; before: Expected; after: Expected }[] = []
  #future: { name: string; before: Expected; after: Expected }[] = []
  #run: number | null = null

  constructor(page: Page, opened: Expected) {
    this.#page = page
    this.states = [opened]
  }

  /** Goes to the Marks station and waits for the picture. */
  async begin(): Promise<void> {
    await goTo(this.#page, 'Marks')
    await shown(this.#page, 150)
  }

  get now(): Expected {
    return this.states.at(-1)!
  }

  /** Does one action; resolves when the page shows it. `some` is a number in [0, 1) that decides details. */
  async act(action: Action, some: number): Promise<void> {
    this.underWay = undefined
    switch (action) {
      case 'mark':
        return await this.#mark(some)
      case 'undo':
        return await this.#undo()
      case 'redo':
        return await this.#redo()
      case 'rename':
        return await this.#rename(`title ${Math.floor(some * 1e9)}`)
      case 'follow':
        return await this.#follow()
      case 'save':
        return await this.#save()
    }
  }

  async #mark(some: number): Promise<void> {
    const page = this.#page
    if (this.#run === null) {
      const start = page.getByRole('button', { name: /^Start a run/ })
      if (await start.isVisible()) await start.click()
    }
    const frame = Number(await page.locator('.stage').getAttribute('data-shown-frame'))
    // Beside the ball, where no outline is found: the mark stays where it was pressed.
    const at = { x: Math.round(200 + 800 * some), y: 60 }
    const runs = this.now.byHand
    const number = this.#run ?? runs.length
    const marks = [...(runs[number] ?? []).filter((mark) => mark.frame !== frame), { frame, ...at }]
    const after = { ...this.now, byHand: [...runs.slice(0, number), marks, ...runs.slice(number + 1)] }
    this.underWay = after
    // The list of runs grows, and a press on its button may have scrolled the picture away.
    await stage(page).scrollIntoViewIfNeeded()
    await press(page, at)
    await this.#done(this.#run === null ? 'start a run' : `mark frame ${frame}`, after)
    this.#run = number
    await shown(page, frame + 1)
  }

  async #undo(): Promise<void> {
    const entry = this.#past.at(-1)
    if (!entry) return
    this.underWay = entry.before
    await this.#press('Control+z')
    await this.#page.getByRole('button', { name: `Redo: ${entry.name}`, exact: true }).waitFor()
    this.#past.pop()
    this.#future.push(entry)
    this.states.push(entry.before)
    if (entry.name === 'start a run') this.#run = null
  }

  async #redo(): Promise<void> {
    const entry = this.#future.at(-1)
    if (!entry) return
    this.underWay = entry.after
    await this.#press('Control+Shift+Z')
    await this.#page.getByRole('button', { name: `Undo: ${entry.name}`, exact: true }).waitFor()
    this.#future.pop()
    this.#past.push(entry)
    this.states.push(entry.after)
    if (entry.name === 'start a run') this.#run = entry.after.byHand.length - 1
  }

  async #rename(title: string): Promise<void> {
    const after = { ...this.now, title }
    this.underWay = after
    const field = this.#page.getByRole('textbox', { name: 'Title of the record' })
    await field.fill(title)
    await field.press('Enter')
    await this.#done('change title', after)
  }

  async #follow(): Promise<void> {
    // What is found already is left alone.
    const more = this.now.found === 0
    if (more) this.underWay = { ...this.now, found: 'some' }
    await this.#page.getByRole('button', { name: 'Find runs' }).click()
    if (!more)
      return await this.#page
        .getByText(/had been marked before/)
        .first()
        .waitFor()
    const undo = this.#page.getByRole('button', { name: /^Undo: find (a run|\d+ runs)$/ })
    await undo.waitFor({ timeout: 60_000 })
    const name = (await undo.getAttribute('aria-label'))!.replace('Undo: ', '')
    const found = Number(/\d+/.exec(name)?.[0] ?? 1)
    await this.#done(name, { ...this.now, found })
    // The found run is the current one: the next mark by hand starts another.
    this.#run = null
  }

  async #save(): Promise<void> {
    await Promise.all([this.#page.waitForEvent('download'), this.#press('Control+s')])
  }

  async #press(chord: string): Promise<void> {
    await stage(this.#page).focus()
    await this.#page.keyboard.press(chord)
  }

  async #done(name: string, after: Expected): Promise<void> {
    await this.#page.getByRole('button', { name: `Undo: ${name}`, exact: true }).waitFor()
    this.#past.push({ name, before: this.now, after })
    this.#future = []
    this.states.push(after)
  }
}
