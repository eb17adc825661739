import { Origin, type Marks, type Run, type SlowlaneRecord } from '../record/index.ts'

/** Marks as memory that is handed over in one go: copying lists of numbers to another thread holds the page up a hundred times as long. */
interface PackedMarks {
  readonly numbers: Float64Array<ArrayBuffer>
  readonly origin: Uint8Array<ArrayBuffer>
}

/** A record on its way to another thread: its marks by number, and of those only the ones that the other side does not hold yet. */
export interface PackedRecord {
  readonly rest: Omit<SlowlaneRecord, 'runs'>
  readonly runs: Readonly<Record<string, Omit<Run, 'marks'> & { readonly marks: number }>>
  readonly fresh: ReadonlyMap<number, PackedMarks>
}

const columns = ['frame', 'ticks', 'x', 'y', 'sigma', 'doubt'] as const
const origins = Origin.options

function packMarks(marks: Marks): PackedMarks {
  const n = marks.frame.length
  const numbers = new Float64Array(columns.length * n)
  for (const [i, column] of columns.entries()) numbers.set(marks[column], i * n)
  return { numbers, origin: Uint8Array.from(marks.origin, (origin) => origins.indexOf(origin)) }
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

/**
 * The sending side. After each record both sides hold exactly the marks of that record, so that a change of one run sends the marks of one run.
 * Marks never change in place: the same object is the same marks.
 */
export class RecordSender {
  readonly #numbers = new WeakMap<Marks, number>()
  #held: ReadonlySet<number> = new Set()
  #next = 1

  /** What to send, and the memory in it that may be handed over. It has to be sent, in the order of packing. */
  pack({ runs, ...rest }: SlowlaneRecord): { readonly packed: PackedRecord; readonly transfer: Transferable[] } {
    const fresh = new Map<number, PackedMarks>()
    const held = new Set<number>()
    const entries = Object.entries(runs).map(([id, run]) => {
      const marks = this.#numberOf(run.marks)
      if (!this.#held.has(marks) && !held.has(marks)) fresh.set(marks, packMarks(run.marks))
      held.add(marks)
      return [id, { ...run, marks }] as const
    })
    this.#held = held
    const transfer = [...fresh.values()].flatMap(({ numbers, origin }) => [numbers.buffer, origin.buffer])
    return { packed: { rest, runs: Object.fromEntries(entries), fresh }, transfer }
  }

  /** The other side is a new one, or may have missed something: the next record goes over whole. */
  forget(): void {
    this.#held = new Set()
  }

  #numberOf(marks: Marks): number {
    const known = this.#numbers.get(marks)
    if (known !== undefined) return known
    const number = this.#next++
    this.#numbers.set(marks, number)
    return number
  }
}

/** The receiving side; it gets every record that its sender packs, in that order. */
export class RecordReceiver {
  #held: ReadonlyMap<number, Marks> = new Map()

  /** The record again, equal to what was packed. Marks that did not change are the same object as before. Throws when marks are missing. */
  unpack({ rest, runs, fresh }: PackedRecord): SlowlaneRecord {
    const held = new Map<number, Marks>()
    const entries = Object.entries(runs).map(([id, run]) => {
      const sent = fresh.get(run.marks)
      const marks = held.get(run.marks) ?? (sent ? unpackMarks(sent) : this.#held.get(run.marks))
      if (!marks) throw new Error(`the marks of run ${id} did not arrive`)
      held.set(run.marks, marks)
      return [id, { ...run, marks }] as const
    })
    this.#held = held
    return { ...rest, runs: Object.fromEntries(entries) }
  }
}
