import { Origin, type Marks, type Run, type SlowlaneRecord } from '../record/index.ts'

/** Marks as memory that is copied in one go: copying lists of numbers to another thread holds the page up a hundred times as long. */
interface PackedMarks {
  readonly numbers: Float64Array
  readonly origin: Uint8Array
}

/** A record on its way to another thread. */
export interface PackedRecord {
  readonly rest: Omit<SlowlaneRecord, 'runs'>
  readonly runs: Readonly<Record<string, Omit<Run, 'marks'> & { readonly marks: PackedMarks }>>
}

const columns = ['frame', 'ticks', 'x', 'y', 'sigma', 'doubt'] as const
const origins = Origin.options

/** Marks never change in place, so what was packed once serves until they are replaced. */
const packed = new WeakMap<Marks, PackedMarks>()

function packMarks(marks: Marks): PackedMarks {
  const held = packed.get(marks)
  if (held) return held
  const n = marks.frame.length
  const numbers = new Float64Array(columns.length * n)
  for (const [i, column] of columns.entries()) numbers.set(marks[column], i * n)
  const made = { numbers, origin: Uint8Array.from(marks.origin, (origin) => origins.indexOf(origin)) }
  packed.set(marks, made)
  return made
}

function unpackMarks({ numbers, origin }: PackedMarks): Marks {
  const n = origin.length
  const column = (i: number) => Array.from(numbers.subarray(i * n, (i + 1) * n))
  return {
    frame: column(0),
    ticks: column(1),
    x: column(2),
    y: column(3),
    sigma: column(4),
    origin: Array.from(origin, (i) => origins[i]!),
    doubt: column(5),
  }
}

export function packRecord({ runs, ...rest }: SlowlaneRecord): PackedRecord {
  const entries = Object.entries(runs).map(([id, run]) => [id, { ...run, marks: packMarks(run.marks) }] as const)
  return { rest, runs: Object.fromEntries(entries) }
}

/** The record again, equal to what was packed. */
export function unpackRecord({ rest, runs }: PackedRecord): SlowlaneRecord {
  const entries = Object.entries(runs).map(([id, run]) => [id, { ...run, marks: unpackMarks(run.marks) }] as const)
  return { ...rest, runs: Object.fromEntries(entries) }
}
