import type { FrameJob } from '../../decode/frame-job.ts'
import type { FrameSource as DecodedFrames } from '../../decode/frame-source.ts'
import type { ShakeTrack } from '../../record/index.ts'
import { doubtCodesOf } from '../doubt-code.ts'
import { findRuns, type FindOptions } from '../find-runs.ts'
import { followRun, type Click, type FollowOutcome } from '../follow-run.ts'
import type { FoundRun } from '../found-run.ts'
import { frameAccess, type NoAccess } from './frame-access.ts'
import { displayedSize, type FrameSource, type Rotation } from '../frame-source.ts'
import { lineLength_px, type LaneLine } from '../lane-line.ts'
import { followSentence, noteSentence, shakeSentence } from '../sentences.ts'
import { shakenPlaces, steadySource, type Shaken } from '../steady-source.ts'
import { StreakSheets, type SheetTile } from '../streak-sheet.ts'
import { turnDistance, type TurnOutcome } from '../turn-distance.ts'

interface Common {
  readonly time_s: Float64Array
  readonly turn_deg: Rotation
  /** Frames to look at, from … to (excluded). */
  readonly from: number
  readonly to: number
  /** How the picture moved, where the clip was filmed from the hand: the lanes lie where they are without it, and so are balls sought. */
  readonly shake?: ShakeTrack | undefined
}

export interface FindParams extends Common {
  readonly lanes: readonly LaneLine[]
  /** False: only the streak sheets are built, which costs little more than decoding. */
  readonly find: boolean
  /** Name by which `stop-find` ends this search early. */
  readonly token: string
}

/** Streak sheet of one lane over the frames that were looked at; its arc runs from 0 to the line's length. */
export interface LaneSheet {
  readonly lane: string
  readonly tile: SheetTile
}

export interface FindReport {
  readonly done: number
  readonly total: number
  readonly runs: number
  /** Sheets as far as they are, now and then. */
  readonly sheets: readonly LaneSheet[] | null
}

/** A found run as the page takes it: with the record's code of doubt for each mark, and its turning in place of the looks that told it. */
export type CodedRun = Omit<FoundRun, 'spin'> & {
  readonly doubtCode: readonly number[]
  /** Way per turn and all other distances in radii of the ball, so that no scale is needed; `turns`: from the first mark to the last. */
  readonly turning: TurnOutcome
  /** Where turning falls behind rolling: frame, and by which share of the way. */
  readonly slides: readonly { readonly frame: number; readonly behind: number }[]
}

export function codedRun(run: FoundRun): CodedRun {
  const { spin, ...rest } = run
  const way = spin.wayInRadii
  const turning = turnDistance(spin.looks, way, { radius: 1 })
  const start = way[0] ?? 0
  const frameAt = (at: number): number => {
    const i = way.findIndex((here) => Math.abs(here - start) >= at)
    return run.frames[i < 0 ? run.frames.length - 1 : i]!
  }
  const slides =
    turning.kind === 'turning' ? turning.slips.map(({ at, behind }) => ({ frame: frameAt(at), behind })) : []
  return { ...rest, doubtCode: doubtCodesOf(run), turning, slides }
}

export interface FindResult {
  /** `stopped`: ended early by `stop-find`; the runs are those of the frames read so far. `read`: nothing was searched for. */
  readonly kind: 'found' | 'stopped' | 'read'
  readonly framesRead: number
  readonly runs: readonly CodedRun[]
  /** What the search wants a person to know, in words. */
  readonly says: readonly string[]
  readonly sheets: readonly LaneSheet[]
}

/** Largest sheet that is handed over: along the lane, and in time [cells]. */
const sheetWidth = 1280
const sheetHeight = 3000
/** Frames between two looks at a growing sheet. */
const lookEvery = 240

/** Finds every passage and builds every lane's streak sheet in one pass over the frames. */
export const findJob: FrameJob<FindParams, FindResult | NoAccess, FindReport> = async (decoded, params, context) => {
  const access = steadyAccess(decoded, params, params.lanes, context.signal)
  if ('kind' in access) return access
  const { source, coded } = access
  const sheets = new StreakSheets(source, params.lanes)
  const wide = displayedSize(source).width
  const cut = (height: number): LaneSheet[] =>
    params.lanes.flatMap((line) => {
      const length = lineLength_px(line)
      const tile = sheets.tile(line.id, {
        fromFrame: params.from,
        toFrame: params.to,
        fromArc: 0,
        toArc: length,
        width: Math.max(1, Math.min(sheetWidth, wide, Math.ceil(length))),
        height: Math.max(1, Math.min(height, params.to - params.from)),
      })
      return tile ? [{ lane: line.id, tile }] : []
    })
  const total = params.to - params.from
  let read = 0
  let found = 0
  const seen = (): void => {
    read += 1
    if (read % lookEvery === 0) context.report({ done: read, total, runs: found, sheets: cut(240) })
    else if (read % 24 === 0) context.report({ done: read, total, runs: found, sheets: null })
  }
  if (!params.find) {
    for (let frame = params.from; frame < params.to && !context.signal.aborted; frame++) {
      sheets.add(frame, await source.luma(frame))
      seen()
    }
    return { kind: 'read', framesRead: read, runs: [], says: [], sheets: cut(sheetHeight) }
  }
  const stop = { aborted: false }
  searches.set(params.token, stop)
  const outcome = await findRuns(source, params.lanes, options(params), {
    signal: context.signal,
    stop,
    onFrame(frame, luma) {
      sheets.add(frame, luma)
      seen()
    },
    onProgress({ runs }) {
      found = runs.length
    },
  }).finally(() => searches.delete(params.token))
  return {
    kind: outcome.kind === 'found' ? 'found' : 'stopped',
    framesRead: outcome.framesRead,
    runs: outcome.runs.map(coded),
    says:
      outcome.kind === 'found'
        ? [...(params.shake ? [shakeSentence(params.shake)] : []), ...outcome.notes.map(noteSentence)]
        : [],
    sheets: cut(sheetHeight),
  }
}

/** Searches under way in this thread, by the name their caller gave them. */
const searches = new Map<string, { aborted: boolean }>()

/** Ends a search after the frame it is at; it answers with what it found so far. */
export const stopFindJob: FrameJob<{ readonly token: string }, boolean, never> = (_decoded, { token }) => {
  const search = searches.get(token)
  if (search) search.aborted = true
  return Promise.resolve(search !== undefined)
}

export interface FollowParams extends Common {
  readonly line: LaneLine
  readonly clicks: readonly Click[]
}

export interface FollowResult {
  readonly outcome: FollowOutcome
  readonly run: CodedRun | null
  readonly says: string
}

/** Follows the one ball that passes through the clicks. */
export const followJob: FrameJob<
  FollowParams,
  FollowResult | NoAccess,
  { readonly done: number; readonly total: number }
> = async (decoded, params, context) => {
  const access = steadyAccess(decoded, params, [params.line], context.signal)
  if ('kind' in access) return access
  const { source, coded, steady } = access
  const outcome = await followRun(source, params.line, params.clicks.map(steady), options(params), {
    signal: context.signal,
    onProgress: ({ done, total }) => context.report({ done, total }),
  })
  return { outcome, run: outcome.kind === 'followed' ? coded(outcome.run) : null, says: followSentence(outcome) }
}

/** Frames as a search wants them, steadied where the record knows how the camera moved, with the ways in and out of what it sees there. */
interface SteadyAccess {
  readonly source: FrameSource
  readonly steady: (click: Click) => Click
  readonly coded: (run: FoundRun) => CodedRun
}

function steadyAccess(
  decoded: DecodedFrames,
  { turn_deg, shake }: Common,
  lanes: readonly LaneLine[],
  signal: AbortSignal,
): SteadyAccess | NoAccess {
  const access = frameAccess(decoded, turn_deg, signal)
  if ('kind' in access) return access
  if (!shake) return { source: access, steady: (click) => click, coded: codedRun }
  const shaken = shakenPlaces(shake)
  return {
    source: steadySource(access, shaken, lanes),
    steady: (click) => ('x' in click ? { frame: click.frame, ...shaken.toSteady(click.frame, click) } : click),
    coded: (run) => codedRun(inFrames(run, shaken)),
  }
}

/** The run with its marks where each frame shows the ball. */
function inFrames(run: FoundRun, shaken: Shaken): FoundRun {
  const at = [...run.frames].map((frame, i) => shaken.toFrame(frame, { x: run.x[i]!, y: run.y[i]! }))
  return { ...run, x: Float64Array.from(at, ({ x }) => x), y: Float64Array.from(at, ({ y }) => y) }
}

const options = ({ time_s, from, to }: Common): FindOptions => ({ time_s, from, to })
