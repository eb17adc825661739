import {
  importAsPositions,
  importedRuns,
  importIntoClip,
  importSentence,
  type ColumnChoice,
  type ColumnProposal,
  type Import,
  type ImportedRun,
  type Known,
  type NewId,
  type RejectedRow,
  type RunTarget,
  type Sheet,
} from '../../../workers/handover/index.ts'
import { addImport } from '../../../workers/handover/index.ts'
import type { Run, SlowlaneRecord } from '../../../workers/record/index.ts'

/** What a person chose for a table of marks. */
export interface ImportChoices {
  readonly columns: ColumnProposal
  /** The clip that places in the picture belong to. */
  readonly clipId: string | null
  readonly firstFrame: 0 | 1
  /** To what runs belong that the record does not know by name. */
  readonly target: RunTarget | null
  /** What becomes of runs whose name in the table is that of a run of the record. */
  readonly named: 'replace' | 'add'
  readonly lengths: Known
  readonly times: Known
  readonly rate_hz: number | null
  /** Standard uncertainty of a position that the table says nothing about [m]. */
  readonly sigma_m: number
}

export interface ImportPlan {
  readonly kind: 'plan'
  /** Additions, and runs that take the marks of those of the same name. */
  readonly add: readonly Import[]
  readonly replace: readonly { readonly runId: string; readonly marks: Run['marks'] }[]
  readonly marks: number
  readonly rejected: readonly RejectedRow[]
}

export type NoPlan = { readonly kind: 'no-plan'; readonly why: string; readonly rejected: readonly RejectedRow[] }

/** The run of the record that a run of the table names, as in the tables that Slowlane writes. */
const namedRun = (record: SlowlaneRecord, { name }: ImportedRun): Run | undefined =>
  name !== null && Object.hasOwn(record.runs, name) ? record.runs[name] : undefined

/** How many runs of the table the record knows by name. */
export function knownByName(record: SlowlaneRecord, sheet: Sheet, columns: ColumnProposal): number {
  const choice = completeChoice(columns)
  const read = choice && importedRuns(sheet, choice)
  return read?.kind === 'imported' ? read.runs.filter((run) => namedRun(record, run)).length : 0
}

export function completeChoice({ when, where, ...more }: ColumnProposal): ColumnChoice | null {
  return when && where ? { ...more, when, where } : null
}

/** What an import would do, with every row that it leaves out; or the sentence that says what is missing. */
export function planImport(
  record: SlowlaneRecord,
  sheet: Sheet,
  file: { readonly name: string; readonly size: number },
  choices: ImportChoices,
  newId: NewId,
): ImportPlan | NoPlan {
  const no = (why: string, rejected: readonly RejectedRow[] = []): NoPlan => ({ kind: 'no-plan', why, rejected })
  const choice = completeChoice(choices.columns)
  if (!choice)
    return no(
      choices.columns.when
        ? 'Choose the column of the position: along the lane, or x and y in the picture.'
        : 'Choose the column that says when: a frame number or a time.',
    )
  const read = importedRuns(sheet, choice)
  if (read.kind !== 'imported')
    return no(importSentence(sheet, read), read.kind === 'no-usable-row' ? read.rejected : [])
  const { target } = choices
  const isNamed = (run: ImportedRun) => namedRun(record, run) !== undefined
  if (!target && !(read.where === 'picture' && read.runs.every(isNamed)))
    return no('These runs need a lane, a finish and a ball of the record. Add them first, or choose them.')
  const targetOf = (run: ImportedRun): RunTarget =>
    (choices.named === 'replace' ? namedRun(record, run) : null) ?? target!
  if (read.where === 'along') {
    const made = importAsPositions(
      record,
      read,
      {
        file: file.name,
        size: file.size,
        of: () => target!,
        lengths: choices.lengths,
        times: choices.times,
        sigma_m: choices.sigma_m,
        ...(choices.rate_hz === null ? {} : { rate_hz: choices.rate_hz }),
      },
      newId,
    )
    if (made.kind !== 'import') return no(importSentence(sheet, made), read.rejected)
    return { kind: 'plan', add: [made], replace: [], marks: marksIn(made), rejected: made.rejected }
  }
  const rejected: RejectedRow[] = [...read.rejected]
  const add: Import[] = []
  const replace: { runId: string; marks: Run['marks'] }[] = []
  for (const run of read.runs) {
    const known = namedRun(record, run)
    const clipId = known?.clipId ?? choices.clipId
    if (clipId === null)
      return no('Choose the clip that these marks belong to; add its footage first if it is not here.')
    const one = { ...read, runs: [run], rejected: [] }
    const made = importIntoClip(
      record,
      one,
      { clipId, firstFrame: choices.firstFrame, file: file.name, of: targetOf },
      newId,
    )
    if (made.kind === 'import') {
      rejected.push(...made.rejected)
      if (known && choices.named === 'replace') replace.push({ runId: known.id, marks: made.runs[0]!.marks })
      else add.push(made)
    } else if (made.kind === 'no-row-in-clip') rejected.push(...made.rejected)
    else return no(importSentence(sheet, made), rejected)
  }
  rejected.sort((a, b) => a.line - b.line)
  if (add.length + replace.length === 0)
    return no(importSentence(sheet, { kind: 'no-row-in-clip', rejected }), rejected)
  const marks = [...add.flatMap(({ runs }) => runs), ...replace].reduce((sum, run) => sum + run.marks.frame.length, 0)
  return { kind: 'plan', add, replace, marks, rejected }
}

const marksIn = ({ runs }: Import): number => runs.reduce((sum, run) => sum + run.marks.frame.length, 0)

/** Puts a plan into a record's draft. */
export function carryOut(draft: SlowlaneRecord, { add, replace }: ImportPlan): void {
  for (const one of add) addImport(draft, one)
  for (const { runId, marks } of replace) {
    const run = draft.runs[runId]
    if (run && !sameMarks(run.marks, marks)) run.marks = marks
  }
}

const sameMarks = (a: Run['marks'], b: Run['marks']): boolean =>
  (Object.keys(b) as (keyof Run['marks'])[]).every(
    (column) => a[column].length === b[column].length && b[column].every((cell, i) => cell === a[column][i]),
  )

/** “62 marks: 3 runs added, 2 runs of the record given new marks; 4 rows left out.” */
export function planSentence({ add, replace, marks, rejected }: ImportPlan): string {
  const added = add.reduce((sum, { runs }) => sum + runs.length, 0)
  const count = (n: number, what: string) => `${n} ${what}${n === 1 ? '' : 's'}`
  const parts = [
    ...(added > 0 ? [`${count(added, 'run')} added`] : []),
    ...(replace.length > 0 ? [`${count(replace.length, 'run')} of the record given new marks`] : []),
  ]
  return `${count(marks, 'mark')}: ${parts.join(', ')}; ${rejected.length === 0 ? 'no row left out' : `${count(rejected.length, 'row')} left out`}.`
}
