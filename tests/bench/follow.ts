import { figure, percentile, type Figure } from './figure.ts'
import { readTruth, truthLanes } from '../support/clip-truth.ts'
import { followSideBySide, type Method } from '../support/follow-side-by-side.ts'
import { openNativeLuma } from '../support/native-luma.ts'
import { findRuns } from '../../workers/locate/find-runs.ts'
import { settleClick } from '../../workers/locate/settle-click.ts'

const clip = new URL('../data/clips/b_three_as_cut', import.meta.url).pathname
const ROUNDS = 3

/** Finding all runs of three lanes against decoding alone (same clip, same decoder, turn about), and settling clicks. */
export async function run(): Promise<Figure[]> {
  const truth = readTruth(`${clip}.truth.json`)
  const lanes = truthLanes(truth, 18)
  const source = openNativeLuma(`${clip}.mp4`)
  const time_s = Float64Array.from({ length: source.frameCount }, (_, i) => i / truth.time.capture_fps)
  const decode: number[] = []
  const follow: number[] = []
  let runs = 0
  for (let round = 0; round < ROUNDS; round++) {
    const start = performance.now()
    for (let frame = 0; frame < source.frameCount; frame++) await source.luma(frame)
    source.close()
    const middle = performance.now()
    runs = (await findRuns(source, lanes, { time_s })).runs.length
    source.close()
    decode.push(middle - start)
    follow.push(performance.now() - middle)
  }
  const settle = await settleTimes()
  const beside = await followSideBySide('b_three_as_cut', 'B1', 6)
  const best = (values: readonly number[]): number => Math.min(...values)
  return [
    figure('follow.vs_decode', best(decode) / best(follow), '×'),
    figure('follow.ms_per_frame', (best(follow) - best(decode)) / source.frameCount, 'ms'),
    figure('follow.runs_found', runs, 'of 3'),
    figure('settle.ms_p50', percentile(settle, 0.5), 'ms'),
    figure('settle.ms_p95', percentile(settle, 0.95), 'ms'),
    ...beside.flatMap(besideFigures),
  ]
}

/** The same ball in the same frames by the tool and by a general-purpose vision library. */
function besideFigures({ name, bias, scatter, within, ms }: Method): Figure[] {
  const ours = name === 'found runs' || name === 'settled clicks'
  const key = `follow.${ours ? 'tool' : 'oracle'}.${name.replace(' ', '_')}`
  return [
    figure(`${key}.bias`, bias, 'px'),
    figure(`${key}.scatter`, scatter, 'px'),
    figure(`${key}.within_3_px`, within, ''),
    figure(`${key}.ms`, ms, 'ms'),
  ]
}

/** Times of settled clicks on every visible ball of every tenth frame, ms; the first twenty warm up. */
async function settleTimes(): Promise<number[]> {
  const truth = readTruth(`${clip}.truth.json`)
  const source = openNativeLuma(`${clip}.mp4`)
  const times: number[] = []
  for (let frame = 0; frame < source.frameCount; frame += 10) {
    const luma = await source.luma(frame)
    for (const ball of truth.frames[frame]?.balls ?? []) {
      if (ball.state !== 'visible') continue
      const start = performance.now()
      settleClick(luma, { x: ball.ox + 3, y: ball.oy - 2 })
      times.push(performance.now() - start)
    }
  }
  source.close()
  return times.slice(20)
}
