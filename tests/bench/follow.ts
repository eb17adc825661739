import { readTruth, truthLanes } from '../support/clip-truth.ts'
import { openNativeLuma } from '../support/native-luma.ts'
import { findRuns } from '../../workers/locate/find-runs.ts'
import { settleClick } from '../../workers/locate/settle-click.ts'

export interface Figure {
  readonly name: string
  readonly value: number
  readonly unit: string
}

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
  const best = (values: readonly number[]): number => Math.min(...values)
  return [
    { name: 'follow.vs_decode', value: best(decode) / best(follow), unit: '×' },
    { name: 'follow.ms_per_frame', value: (best(follow) - best(decode)) / source.frameCount, unit: 'ms' },
    { name: 'follow.runs_found', value: runs, unit: 'of 3' },
    { name: 'settle.ms_p50', value: settle[settle.length >> 1]!, unit: 'ms' },
    { name: 'settle.ms_p95', value: settle[Math.floor(0.95 * settle.length)]!, unit: 'ms' },
  ]
}

/** Times of settled clicks on every visible ball of every tenth frame, sorted, ms; the first twenty warm up. */
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
  return times.slice(20).sort((a, b) => a - b)
}
