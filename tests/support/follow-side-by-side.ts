import { findRuns } from '../../workers/locate/find-runs.ts'
import { footOnLine, type LaneLine } from '../../workers/locate/lane-line.ts'
import { settleClick } from '../../workers/locate/settle-click.ts'
import { compareRun, readTruth, truthLanes, type ClipTruth, type TruthBall } from './clip-truth.ts'
import { openNativeLuma } from './native-luma.ts'
import { loadPictureOracle, type Place } from './picture-oracle.ts'

export interface Method {
  readonly name: 'found runs' | 'settled clicks' | 'template matching' | 'circle finder'
  /** Mean and standard deviation of found − true along the lane, px. */
  readonly bias: number
  readonly scatter: number
  /** Median |found − true| and the share of looks that gave an answer within 3 px. */
  readonly median: number
  readonly within: number
  readonly ms: number
}

/**
 * The tool and a general-purpose vision library (OpenCV's WebAssembly build) on the same frames of one ball of a clip. The library is given all it
 * could wish for: a template cut at the true place in the middle of the passage, the radius, and a start within 5 px.
 */
export async function followSideBySide(name: string, ballId: string, every: number): Promise<Method[]> {
  const clips = new URL('../data/clips/', import.meta.url).pathname
  const truth = readTruth(`${clips}${name}.truth.json`)
  const source = openNativeLuma(`${clips}${name}.mp4`)
  const lane = truth.balls.find(({ id }) => id === ballId)!.lane
  const lines = truthLanes(truth, undefined)
  const line = lines.find(({ id }) => id === lane)!
  // Only on the lane's line is a ball looked for, and only while it moves does it carry marks of a run.
  const onLine = (s: number): boolean => s > line.arc[0]! && s < line.arc[line.arc.length - 1]!
  const seen = visible(truth, ballId).filter(({ frame, ball }) => frame % every === 0 && onLine(along(line, at(ball))))
  const middle = seen[seen.length >> 1]!
  const oracle = await loadPictureOracle()
  oracle.learn(await source.luma(middle.frame), at(middle.ball), middle.ball.r)
  source.close()
  const tallies = (['settled clicks', 'template matching', 'circle finder'] as const).map((method) => ({
    name: method,
    errors: [] as number[],
    looks: 0,
    ms: 0,
  }))
  for (const { frame, ball } of seen) {
    const luma = await source.luma(frame)
    const off = { x: ball.ox + (((frame * 7) % 9) - 4), y: ball.oy + (((frame * 5) % 7) - 3) }
    const ways: (() => Place | undefined)[] = [
      () => {
        const outcome = settleClick(luma, off, { expectedRadius: ball.r })
        return outcome.kind === 'settled' ? outcome : undefined
      },
      () => oracle.match(luma, off, 8),
      () => oracle.circle(luma, off, ball.r),
    ]
    for (const [i, way] of ways.entries()) {
      const start = performance.now()
      const place = way()
      const tally = tallies[i]!
      tally.ms += performance.now() - start
      tally.looks += 1
      if (place) tally.errors.push(along(line, place) - along(line, at(ball)))
    }
  }
  source.close()
  const time_s = Float64Array.from({ length: source.frameCount }, (_, i) => i / truth.time.capture_fps)
  const begin = performance.now()
  const { runs } = await findRuns(source, lines, { time_s })
  const took = performance.now() - begin
  source.close()
  const run = runs.find((one) => compareRun(one, truth, line)?.ball === ballId)
  if (!run) throw new Error(`${ballId} of ${name} was not found`)
  const found: number[] = []
  const own = new Map([...run.frames].map((frame, i) => [frame, run.s[i]!]))
  for (const { frame, ball } of seen) {
    const s = own.get(frame)
    if (s !== undefined) found.push(s - along(line, at(ball)))
  }
  const marks = runs.reduce((n, one) => n + one.frames.length, 0)
  return [
    figures('found runs', found, seen.length, took / marks),
    ...tallies.map((tally) => figures(tally.name, tally.errors, tally.looks, tally.ms / tally.looks)),
  ]
}

/** Below this a ball counts as lying still. */
const slowest_m_s = 0.02

const at = (ball: TruthBall): Place => ({ x: ball.ox, y: ball.oy })
const along = (line: LaneLine, place: Place): number => footOnLine(line, place.x, place.y).s

function visible(truth: ClipTruth, id: string): { frame: number; ball: TruthBall }[] {
  return truth.frames.flatMap(({ i, balls }) =>
    balls.flatMap((ball) =>
      ball.id === id && ball.state === 'visible' && Math.abs(ball.v) > slowest_m_s ? [{ frame: i, ball }] : [],
    ),
  )
}

/** A miss by more than 3 px is a failure of finding, not scatter. */
function figures(name: Method['name'], errors: readonly number[], looks: number, ms: number): Method {
  const near = errors.filter((e) => Math.abs(e) <= 3)
  const bias = near.reduce((a, b) => a + b, 0) / near.length
  const scatter = Math.sqrt(near.reduce((a, e) => a + (e - bias) ** 2, 0) / Math.max(1, near.length - 1))
  const sorted = errors.map(Math.abs).sort((a, b) => a - b)
  return { name, bias, scatter, median: sorted[sorted.length >> 1] ?? NaN, within: near.length / looks, ms }
}
