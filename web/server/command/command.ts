import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join, parse } from 'node:path'
import { laneResults, problemSentence, sourceBookOf, type LaneResult } from '../../../workers/fit/index.ts'
import { resultsBundle, resultsJson, simulatorForms, zipOf } from '../../../workers/handover/index.ts'
import { stableJson, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { recordJsonSchema } from '../../../workers/record/json-schema.ts'
import { exits, help } from './help.ts'
import { readInput } from './read-input.ts'
import { reasonOf } from './reason.ts'
import { resultsText } from './table-text.ts'
import { readWords, type Asked } from './words.ts'

/** What the command has of the world around it. */
export interface Surroundings {
  readonly out: (text: string) => void
  readonly complain: (text: string) => void
  readonly version: string
  /** ISO 8601. */
  readonly now: () => string
}

/** Runs the command. Resolves with its exit code; every failure is a sentence, never an exception. */
export async function runCommand(words: readonly string[], around: Surroundings): Promise<number> {
  const asked = readWords(words)
  switch (asked.kind) {
    case 'help':
      around.out(help)
      return exits.fine
    case 'version':
      around.out(`${around.version}\n`)
      return exits.fine
    case 'schema':
      around.out(stableJson(recordJsonSchema(), 2))
      return exits.fine
    case 'misused':
      around.complain(`${asked.why}\n`)
      return exits.misused
    case 'results':
      return results(asked, around)
  }
}

function results(asked: Asked, around: Surroundings): number {
  const input = readInput(asked.record)
  if (input.kind === 'unreadable') {
    around.complain(`${input.why}\n`)
    return exits.unreadable
  }
  const { record } = input
  if (input.note !== null) around.complain(`${input.note}\n`)
  const laneIds = named(Object.values(record.lanes), asked.lane, 'lane')
  if ('why' in laneIds) return misused(laneIds.why, around)
  const finishIds = named(Object.values(record.finishes), asked.finish, 'finish')
  if ('why' in finishIds) return misused(finishIds.why, around)

  const all = laneResults(record)
  const kept = all.filter(({ laneId, finishId }) => laneIds.ids.has(laneId) && finishIds.ids.has(finishId))
  const createdAt = asked.at ?? around.now()
  const options = {
    createdAt,
    version: around.version,
    results: all,
    ...(asked.lane === null ? {} : { laneIds: [...laneIds.ids] }),
  }
  const without = kept.filter(({ crr }) => crr === null)
  let exit: number = kept.length === 0 || without.length > 0 ? exits.withoutResult : exits.fine

  if (asked.json === '-') around.out(resultsJson(record, kept, options))
  else around.out(printed(record, kept))
  for (const result of without)
    for (const problem of result.problems)
      around.complain(`${nameOf(record, result)}: ${problemSentence(record, problem)}\n`)

  const models = asked.mjcf === null ? [] : mjcfModels(record, kept, asked.mjcf)
  for (const { why } of models)
    if (why !== null) {
      around.complain(`${why}\n`)
      exit = exits.withoutResult
    }
  const bundle = asked.csv !== null || asked.zip !== null ? resultsBundle(record, options) : []
  const writings = [
    ...(asked.csv === null ? [] : bundle.map(({ path, bytes }) => ({ file: join(asked.csv!, path), bytes }))),
    ...(asked.zip === null ? [] : [{ file: asked.zip, bytes: zipOf(bundle, createdAt) }]),
    ...(asked.json === null || asked.json === '-'
      ? []
      : [{ file: asked.json, bytes: resultsJson(record, kept, options) }]),
    ...models.flatMap(({ file, text }) => (text === null ? [] : [{ file, bytes: text }])),
  ]
  for (const { file, bytes } of writings) {
    const failed = write(file, bytes)
    if (failed === null) continue
    around.complain(`${failed}\n`)
    return exits.notWritten
  }
  return exit
}

function misused(why: string, around: Surroundings): number {
  around.complain(`${why}\n`)
  return exits.misused
}

/** The table under its title; in its place a sentence where there is nothing to show. */
function printed(record: SlowlaneRecord, kept: readonly LaneResult[]): string {
  const title = record.title === '' ? '' : `${record.title}\n\n`
  if (kept.length > 0) return title + resultsText(record, kept)
  return `${title}No lane has a run to compute from. Mark a run of at least four frames first.\n`
}

/** Entries that a name asks for: by letter, id or name, letters in any case; all where none is named. */
function named(
  entries: readonly { readonly id: string; readonly name: string; readonly key?: string }[],
  name: string | null,
  what: string,
): { readonly ids: ReadonlySet<string> } | { readonly why: string } {
  if (name === null) return { ids: new Set(entries.map(({ id }) => id)) }
  const plain = (text: string) => text.normalize('NFC').toLowerCase()
  // The letter on the chip is what people mean first; a name that is another's id comes last.
  for (const part of ['key', 'name', 'id'] as const) {
    const found = entries.filter((entry) => plain(entry[part] ?? '') === plain(name))
    if (found.length > 0) return { ids: new Set(found.map(({ id }) => id)) }
  }
  const there = entries.map((entry) => (entry.key === undefined ? `“${entry.name}”` : `${entry.key} “${entry.name}”`))
  const list = there.length > 0 ? `It holds ${there.join(', ')}` : 'It holds none'
  return { why: `The record holds no ${what} “${name}”. ${list}.` }
}

const nameOf = (record: SlowlaneRecord, { laneId, finishId }: LaneResult): string =>
  `Lane ${record.lanes[laneId]?.key ?? '?'}, ${record.finishes[finishId]?.name ?? ''}`

interface Model {
  readonly file: string
  readonly text: string | null
  readonly why: string | null
}

/** The lanes as MJCF; where there are several, lane and finish stand in each file's name. */
function mjcfModels(record: SlowlaneRecord, kept: readonly LaneResult[], file: string): readonly Model[] {
  const book = sourceBookOf(record)
  const { dir, name, ext } = parse(file)
  return kept.map((result): Model => {
    const form = simulatorForms(record, book, result).forms.find(({ id }) => id === 'mjcf-lane')
    const own =
      kept.length === 1 ? file : join(dir, `${name}-${result.laneId}-${result.finishId}${ext === '' ? '.xml' : ext}`)
    if (form?.file) return { file: own, text: form.file.text, why: null }
    return { file: own, text: null, why: `${nameOf(record, result)}, MJCF: ${form?.validity.why ?? 'not available.'}` }
  })
}

/** Writes a file and the folders above it; null, or a sentence. */
function write(file: string, bytes: Uint8Array | string): string | null {
  try {
    mkdirSync(dirname(file), { recursive: true })
    writeFileSync(file, bytes)
    return null
  } catch (cause) {
    return `“${file}” could not be written (${reasonOf(cause)}). Name another place.`
  }
}
