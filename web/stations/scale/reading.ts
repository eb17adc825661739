import type { JobParams, JobResult } from '../../../workers/bridge/decode-client.ts'
import type { BentEdgeReading } from '../../../workers/measure/bent-edge.ts'
import type { CornerReading } from '../../../workers/measure/settle-corner.ts'
import type { StringReading } from '../../../workers/measure/string-line.ts'
import type { Clip, Px } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'

/** The picture could not be looked at. */
export interface NoLook {
  readonly kind: 'no-look'
  readonly why: 'no-frames' | 'mirrored' | 'missing-frame' | 'too-slow'
}

/** Where the pixels come from: the frame that is on show. */
export interface Look {
  readonly clip: Clip
  readonly frame: number
}

/** Nobody waits longer than this for points to settle. */
const patience_ms = 4000

type Reader = 'read-string' | 'read-bent-edge' | 'settle-corners'

async function look<Name extends Reader>(
  at: Look,
  name: Name,
  params: JobParams<Name>,
): Promise<JobResult<Name> | NoLook> {
  const open = openClipOf(at.clip.id)
  if (!open) return { kind: 'no-look', why: 'no-frames' }
  try {
    return await open.run(name, params, { signal: AbortSignal.timeout(patience_ms) })
  } catch (cause) {
    console.warn(`${name} did not come to an end`, cause)
    return { kind: 'no-look', why: 'too-slow' }
  }
}

/** A string, or a level edge, between two placed points. */
export async function readLine(at: Look, a: Px, b: Px, what: 'string' | 'edge'): Promise<StringReading | NoLook> {
  const reading = await look(at, 'read-string', { frame: at.frame, turn_deg: at.clip.turn, a, b, what })
  return reading.kind === 'mirrored' || reading.kind === 'missing-frame'
    ? { kind: 'no-look', why: reading.kind }
    : reading
}

/** An edge, straight in the scene, along placed points. */
export async function readEdge(at: Look, points: readonly Px[]): Promise<BentEdgeReading | NoLook> {
  const reading = await look(at, 'read-bent-edge', { frame: at.frame, turn_deg: at.clip.turn, points })
  return reading.kind === 'mirrored' || reading.kind === 'missing-frame'
    ? { kind: 'no-look', why: reading.kind }
    : reading
}

/** Corners of one outline in turn, or points that each stand alone. */
export async function readCorners(
  at: Look,
  corners: readonly Px[],
  outline: boolean,
): Promise<{ readonly kind: 'corners'; readonly corners: readonly CornerReading[] } | NoLook> {
  const reading = await look(at, 'settle-corners', { frame: at.frame, turn_deg: at.clip.turn, corners, outline })
  return reading.kind === 'mirrored' || reading.kind === 'missing-frame'
    ? { kind: 'no-look', why: reading.kind }
    : reading
}

/** Corners after settling: those that were seen where they are seen, the others as placed; `u_px` only when all were seen. */
export function settledCorners(placed: readonly Px[], readings: readonly CornerReading[]) {
  const points = placed.map((at, i) => {
    const reading = readings[i]
    return reading?.kind === 'corner' ? thousandths(reading.at) : at
  })
  const us = readings.flatMap((reading) => (reading.kind === 'corner' ? [reading.u_px] : []))
  const worst = Math.max(0, ...us)
  return { points, settled: us.length, worst_px: worst, u_px: us.length === placed.length ? worst : undefined }
}

/** What was read in sub-pixels keeps a thousandth: its noise is some thousandths. */
export const thousandths = (at: Px): Px => ({ x: Math.round(at.x * 1000) / 1000, y: Math.round(at.y * 1000) / 1000 })
