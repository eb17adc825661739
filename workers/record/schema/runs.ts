import * as z from 'zod/mini'
import { Count, Finite, Id, Note, Positive } from './primitives.ts'

/** Where a mark comes from. `nudged`: found, then moved by hand. */
export const Origin = z.enum(['hand', 'settled', 'found', 'nudged', 'imported'])
export type Origin = z.infer<typeof Origin>

export const mostMarksPerRun = 20_000

const column = <T extends z.ZodMiniType>(item: T) => z.array(item).check(z.maxLength(mostMarksPerRun))

/**
 * Marks as columns of equal length, ordered by frame, one mark a frame.
 * x, y: the ball's centre in the displayed picture [px]; sigma: its standard uncertainty along the lane [px];
 * ticks: the frame's time in the clip's timescale; doubt: 0 sure, else the reason's code (see `doubtCodes`).
 */
export const Marks = z
  .strictObject({
    frame: column(Count),
    ticks: column(Finite),
    x: column(Finite),
    y: column(Finite),
    sigma: column(Positive),
    origin: column(Origin),
    doubt: column(Count),
  })
  .check(
    z.refine(
      (m) => [m.ticks, m.x, m.y, m.sigma, m.origin, m.doubt].every((c) => c.length === m.frame.length),
      'columns of unequal length',
    ),
    z.refine((m) => m.frame.every((f, i) => i === 0 || f > m.frame[i - 1]!), 'frames not in rising order'),
  )
export type Marks = z.infer<typeof Marks>

/** What a mark may be doubted for; stored as its index, so the order is part of the file format. */
export const doubtCodes = [
  'sure',
  'partly-hidden',
  'one-edge',
  'near-another-ball',
  'repeated-frame',
  'blurred',
  'low-contrast',
  'off-line',
  'misfit',
  'accepted',
] as const
export type Doubt = (typeof doubtCodes)[number]

/** What the ball's pattern told about its turning: distance per turn, found in the streak. */
export const Spin = z.strictObject({ perTurn_m: Positive, u_m: Positive, turns: Positive })

/** One passage of one ball along one lane in one clip. */
export const Run = z.strictObject({
  id: Id,
  laneId: Id,
  mountingId: Id,
  viewId: Id,
  clipId: Id,
  finishId: Id,
  ballId: Id,
  /** Which way the ball goes with respect to the lane line. */
  direction: z.enum(['down', 'up', 'level']),
  marks: Marks,
  excluded: z.optional(z.boolean()),
  spin: z.optional(Spin),
  note: z.optional(Note),
})
export type Run = z.infer<typeof Run>
