import type { ClipClock, Px, Run } from '../../../workers/record/index.ts'

/** The marks of a falling ball, as columns, in the order of their frames. */
export interface FallMarks {
  readonly frames: readonly number[]
  readonly ticks: readonly number[]
  readonly points: readonly Px[]
}

export type FallClock = Extract<ClipClock, { kind: 'free-fall' }>

export const noFallMarks: FallMarks = { frames: [], ticks: [], points: [] }

/** Puts the mark of one frame in its place; a frame has one mark, the newest. */
export function withFallMark(marks: FallMarks, frame: number, ticks: number, at: Px): FallMarks {
  const kept = withoutFallMark(marks, frame)
  const before = kept.frames.filter((f) => f < frame).length
  return {
    frames: kept.frames.toSpliced(before, 0, frame),
    ticks: kept.ticks.toSpliced(before, 0, ticks),
    points: kept.points.toSpliced(before, 0, at),
  }
}

export function withoutFallMark(marks: FallMarks, frame: number): FallMarks {
  const keep = <T>(column: readonly T[]): T[] => column.filter((_, i) => marks.frames[i] !== frame)
  return { frames: keep(marks.frames), ticks: keep(marks.ticks), points: keep(marks.points) }
}

/** The marks of a run as those of a fall: of a ball that was marked on the Marks station. */
export const fallOfRun = ({ marks }: Pick<Run, 'marks'>): FallMarks => ({
  frames: [...marks.frame],
  ticks: [...marks.ticks],
  points: marks.frame.map((_, i) => ({ x: marks.x[i]!, y: marks.y[i]! })),
})

export const fallClock = (clipId: string, planeId: string, marks: FallMarks): FallClock => ({
  kind: 'free-fall',
  clipId,
  planeId,
  frames: [...marks.frames],
  ticks: [...marks.ticks],
  points: marks.points.map((p) => ({ ...p })),
})

/** Where a falling ball is next, from its last three marks: the same gain of speed again. Undefined with fewer than two. */
export function expectedFall(marks: FallMarks, frame: number): Px | undefined {
  const n = marks.frames.length
  const at = (i: number) => ({ f: marks.frames[i]!, ...marks.points[i]! })
  if (n < 2) return n === 1 ? marks.points[0] : undefined
  const [b, c] = [at(n - 2), at(n - 1)]
  const speed = { x: (c.x - b.x) / (c.f - b.f), y: (c.y - b.y) / (c.f - b.f) }
  let bend = { x: 0, y: 0 }
  if (n >= 3) {
    const a = at(n - 3)
    const before = { x: (b.x - a.x) / (b.f - a.f), y: (b.y - a.y) / (b.f - a.f) }
    const apart = (c.f - a.f) / 2
    bend = { x: (speed.x - before.x) / apart, y: (speed.y - before.y) / apart }
  }
  const ahead = frame - c.f
  // The speed between two marks is that of the middle between them.
  const from = (c.f - b.f) / 2
  const way = (v: number, g: number) => (v + g * from) * ahead + (g * ahead * ahead) / 2
  return { x: c.x + way(speed.x, bend.x), y: c.y + way(speed.y, bend.y) }
}
