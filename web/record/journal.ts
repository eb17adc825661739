import { applyPatches, enablePatches, type Patch } from 'immer'
import { parseRecord, type SlowlaneRecord } from '../../workers/record/index.ts'

enablePatches()

/** One change of a record, in the order it was made. `seq` grows by one. */
export interface JournalLine {
  readonly id: string
  readonly seq: number
  /** `late`: a fact that was read in the background, with no gesture of its own. */
  readonly kind: 'commit' | 'undo' | 'redo' | 'late'
  readonly name: string
  readonly patches: readonly Patch[]
}

/** The whole record after change `seq`. */
export interface Snapshot {
  readonly id: string
  readonly seq: number
  readonly record: unknown
}

/** What the list of kept records shows without reading them. */
export interface KeptRecord {
  readonly id: string
  readonly title: string
  /** ISO time of the last change. */
  readonly changedAt: string
  readonly seq: number
  /** The tab that wrote last. Where tabs cannot lock a record, each sees by it that another wrote. Absent in older entries. */
  readonly writer?: string
  readonly counts: { readonly clips: number; readonly lanes: number; readonly runs: number }
  /** The last file this record was saved to, and the change it held. */
  readonly file: SavedFile | null
}

export interface SavedFile {
  readonly name: string
  readonly at: string
  readonly seq: number
}

export type Replay =
  | { kind: 'whole'; record: SlowlaneRecord; seq: number }
  /** Some of the last changes could not be read; `lost` of them are missing. */
  | { kind: 'shortened'; record: SlowlaneRecord; seq: number; lost: number }
  | { kind: 'nothing' }
  | { kind: 'too-new'; have: number; can: number }

/**
 * The record from its snapshots and its journal, both in rising order of `seq`. The newest snapshot that reads is the start; then every
 * change that follows it without a gap. What comes out has passed the schema; a change after which it would not is left out, with all that follow.
 */
export function replay(snapshots: readonly Snapshot[], journal: readonly JournalLine[]): Replay {
  const newest = Math.max(journal.at(-1)?.seq ?? 0, snapshots.at(-1)?.seq ?? 0)
  for (const snapshot of [...snapshots].reverse()) {
    const start = parseRecord(snapshot.record)
    if (start.kind === 'too-new') return start
    if (start.kind !== 'ok') continue
    const { record, seq } = forward(start.record, snapshot.seq, journal)
    return seq === newest ? { kind: 'whole', record, seq } : { kind: 'shortened', record, seq, lost: newest - seq }
  }
  return { kind: 'nothing' }
}

function forward(
  start: SlowlaneRecord,
  from: number,
  journal: readonly JournalLine[],
): { record: SlowlaneRecord; seq: number } {
  const steps: { record: SlowlaneRecord; seq: number }[] = [{ record: start, seq: from }]
  for (const line of journal) {
    const before = steps.at(-1)
    if (!before || line.seq <= before.seq) continue
    if (line.seq !== before.seq + 1) break
    try {
      steps.push({ record: applyPatches(before.record, [...line.patches]), seq: line.seq })
    } catch {
      break
    }
  }
  // Validation is dear and nearly always passes on the last: go back from there.
  return latestValid(steps) ?? { record: start, seq: from }
}

function latestValid(
  steps: readonly { record: SlowlaneRecord; seq: number }[],
): { record: SlowlaneRecord; seq: number } | undefined {
  const last = steps.at(-1)
  if (!last) return undefined
  const whole = parseRecord(last.record)
  if (whole.kind === 'ok') return { record: whole.record, seq: last.seq }
  // A change that breaks the schema breaks it for all that follow, so the last good one is found by halving.
  let good = 0
  let bad = steps.length - 1
  while (bad - good > 1) {
    const middle = (good + bad) >> 1
    const step = steps[middle]
    if (step && parseRecord(step.record).kind === 'ok') good = middle
    else bad = middle
  }
  return steps[good]
}
