import type { Clip, Marks, Run, SlowlaneRecord, Source, Stated, View } from '../../record/index.ts'
import type { ImportedRun, ImportedRuns } from './imported-runs.ts'
import { runWith, type Import, type NewId, type RunTarget } from './record-parts.ts'

/** How well a scale of the file is known, as a half width relative to the value. */
export type Known =
  | { readonly kind: 'exact' }
  | { readonly kind: 'within'; readonly relative: number }
  /** “I don't know”: a wide guess of ours, and the results say what knowing it would bring. */
  | { readonly kind: 'unknown' }

export interface PositionsTarget {
  /** Name of the file: of the view, the clip, and in the note of each run. */
  readonly file: string
  /** Size of the file [bytes]. */
  readonly size: number
  readonly of: (run: ImportedRun) => RunTarget
  readonly lengths: Known
  readonly times: Known
  /** Frames per second, where the file counts frames. */
  readonly rate_hz?: number
  /** Standard uncertainty of a position that the file says nothing about [m]. */
  readonly sigma_m: number
}

export type PositionsProblem =
  | { readonly kind: 'not-along-a-lane' }
  | { readonly kind: 'rate-missing' }
  | { readonly kind: 'sigma-missing'; readonly sigma_m: number }
  | { readonly kind: 'known-not-positive'; readonly relative: number }

/** Guesses for “I don't know” (common practice, no source): a tape read carelessly, a clock never checked. */
const unknownHalf = { lengths: 0.01, times: 0.002 } as const

/** One pixel of the view that stands for the table is a millimetre. */
const pxPerMetre = 1000
/** The view's points are exact: they were never placed. The schema wants a number above 0. */
const exact_px = 1e-9
const exactly = (value: number): Stated => ({ value, sources: [] })

/**
 * Positions along lanes as runs of a view of their own: a picture in which a millimetre is a pixel, the lanes' lines lie level and nothing is distorted,
 * and a clip without pictures whose ticks are seconds. Scale and clock keep the uncertainty that is stated for the file.
 */
export function importAsPositions(
  record: SlowlaneRecord,
  imported: ImportedRuns,
  target: PositionsTarget,
  newId: NewId,
): Import | PositionsProblem {
  if (imported.where !== 'along') return { kind: 'not-along-a-lane' }
  if (imported.when === 'frame' && !(target.rate_hz !== undefined && target.rate_hz > 0))
    return { kind: 'rate-missing' }
  if (!(target.sigma_m > 0)) return { kind: 'sigma-missing', sigma_m: target.sigma_m }
  for (const known of [target.lengths, target.times])
    if (known.kind === 'within' && !(known.relative > 0))
      return { kind: 'known-not-positive', relative: known.relative }

  const sources: Source[] = []
  const scale = sourceFor(target.lengths, `scale of ${target.file}`, unknownHalf.lengths, true, newId, sources)
  const clock = sourceFor(
    target.times,
    `clock of ${target.file}`,
    unknownHalf.times,
    imported.when === 'frame',
    newId,
    sources,
  )
  const places = imported.runs.flatMap(({ place }) => place)
  const least = places.reduce((a, b) => Math.min(a, b), 0)
  const laneIds = [...new Set(imported.runs.map((run) => target.of(run).laneId))]
  const longest = Math.max(
    places.reduce((a, b) => Math.max(a, b), 0.1),
    ...laneIds.map((id) => record.lanes[id]?.length_m?.value ?? 0),
  )
  const [viewId, clipId] = [newId('view'), newId('clip')]
  // Positions below 0 lie left of the lane's start; a whole number of metres moves them into the picture.
  const origin_px = pxPerMetre * Math.ceil(-least)
  const view = viewOf(viewId, newId('plane'), target.file, laneIds, origin_px, longest, scale)
  view.timebase =
    imported.when === 'frame'
      ? { kind: 'filmed-at', rate_hz: { value: target.rate_hz!, sources: clock }, spacing: 'even' }
      : { kind: 'file', drift: { value: 0, sources: clock } }
  let next = 0
  const runs = imported.runs.map((run): Run => {
    const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
    // No two runs share a frame: they would look like one ball marked twice.
    const shift = imported.when === 'frame' ? Math.max(0, next - run.when[0]!) : 0
    for (const [i, at] of run.when.entries()) {
      const frame = imported.when === 'frame' ? at + shift : next + i
      marks.frame.push(frame)
      marks.ticks.push(imported.when === 'frame' ? frame : at)
      marks.x.push(origin_px + pxPerMetre * run.place[i]!)
      marks.y.push(lineAt_px)
      marks.sigma.push(pxPerMetre * (run.sigma[i] ?? target.sigma_m))
      marks.origin.push(run.origin[i] ?? 'imported')
      marks.doubt.push(run.doubt[i]!)
    }
    next = marks.frame.at(-1)! + 1
    return runWith(target.of(run), { id: newId('run'), viewId, clipId }, marks, run, target.file)
  })
  const clip = clipOf(clipId, view, target, imported, runs)
  return { kind: 'import', sources, views: [view], clips: [clip], runs, rejected: imported.rejected }
}

function sourceFor(
  known: Known,
  name: string,
  guess: number,
  relative: boolean,
  newId: NewId,
  sources: Source[],
): string[] {
  if (known.kind === 'exact') return []
  const half = known.kind === 'within' ? known.relative : guess
  const source: Source = {
    id: newId('source'),
    name: name.slice(0, 200),
    unit: '1',
    ...(relative ? { relative } : {}),
    distribution: { kind: 'rectangular', half },
    basis: known.kind === 'within' ? 'stated on import' : 'not stated on import: wide guess',
    ...(known.kind === 'unknown' ? { unknown: true } : {}),
  }
  sources.push(source)
  return [source.id]
}

/** Height of the view and of its plane, and where the lanes' lines lie in it [px]. */
const height_px = 100
const lineAt_px = 50

function viewOf(
  id: string,
  planeId: string,
  file: string,
  laneIds: readonly string[],
  origin_px: number,
  longest_m: number,
  scale: string[],
): View {
  const width = origin_px + Math.ceil(pxPerMetre * longest_m)
  const side = (px: number): Stated => ({ value: px / pxPerMetre, sources: scale })
  return {
    id,
    name: file.slice(0, 200),
    width,
    height: height_px,
    timebase: { kind: 'unset' },
    planes: {
      [planeId]: {
        kind: 'rectangle',
        id: planeId,
        name: 'millimetres',
        corners: [
          { x: 0, y: height_px },
          { x: width, y: height_px },
          { x: width, y: 0 },
          { x: 0, y: 0 },
        ],
        width_m: side(width),
        height_m: side(height_px),
        u_px: exact_px,
        nearer_m: exactly(0),
      },
    },
    lens: { kind: 'typed', k1: exactly(0) },
    gravity: [],
    lines: Object.fromEntries(
      laneIds.map((laneId) => [
        laneId,
        {
          laneId,
          planeId,
          shape: 'straight' as const,
          points: [
            { x: origin_px, y: lineAt_px },
            { x: width, y: lineAt_px },
          ],
          u_px: exact_px,
          nearer_m: exactly(0),
        },
      ]),
    ),
    pitch_rad: exactly(0),
    yaw_rad: exactly(0),
    distance_m: exactly(1),
  }
}

function clipOf(id: string, view: View, target: PositionsTarget, imported: ImportedRuns, runs: readonly Run[]): Clip {
  const ticks = runs.flatMap(({ marks }) => marks.ticks)
  const steps = runs
    .flatMap(({ marks }) => marks.ticks.slice(1).map((tick, i) => tick - marks.ticks[i]!))
    .sort((a, b) => a - b)
  const median = steps[steps.length >> 1] ?? 1
  const uneven = steps.filter((step) => Math.abs(step - median) > 0.01 * median).length
  const byFrames = imported.when === 'frame'
  return {
    id,
    name: target.file.slice(0, 200),
    size: target.size,
    quickKey: `table-${id}`,
    container: 'csv',
    codec: 'none',
    width: view.width,
    height: view.height,
    rotation: 0,
    turn: 0,
    frames: Math.max(...runs.map(({ marks }) => marks.frame.at(-1)! + 1)),
    timescale: byFrames ? target.rate_hz! : 1,
    firstTicks: 0,
    lastTicks: ticks.reduce((a, b) => Math.max(a, b), 0),
    interval: { median, least: steps[0] ?? median, greatest: steps.at(-1) ?? median, uneven: byFrames ? 0 : uneven },
    timestampStep_s: 0,
    fileRate_hz: byFrames ? target.rate_hz! : 1 / median,
    filmingRateTag_hz: null,
    damage: null,
    viewId: view.id,
  }
}
