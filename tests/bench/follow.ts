import { copyFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { figure, median, percentile, type Figure } from './figure.ts'
import { readTruth, truthLanes } from '../support/clip-truth.ts'
import { followSideBySide, type Method } from '../support/follow-side-by-side.ts'
import { startDecodePage } from '../support/decode-page.ts'
import { openNativeLuma, type NativeLuma } from '../support/native-luma.ts'
import { cacheFolder } from '../support/repository.ts'
import { findRuns } from '../../workers/locate/find-runs.ts'
import { settleClick } from '../../workers/locate/settle-click.ts'

const clip = new URL('../data/clips/b_three_as_cut', import.meta.url).pathname
const ROUNDS = 7
const PAGE_ROUNDS = 5

/** Finding all runs of three lanes against decoding alone (same clip, same decoder, turn about; the ratio of each round, as a median), and settling
 *  clicks. */
export async function run(): Promise<Figure[]> {
  const truth = readTruth(`${clip}.truth.json`)
  const lanes = truthLanes(truth, 18)
  // All decoders are started beforehand and wait for their reader: starting one copies the page tables of this process, after which every page is
  // slow to write to once, and only the search writes to many.
  const rounds: (readonly [NativeLuma, NativeLuma])[] = []
  for (let round = 0; round <= ROUNDS; round++) rounds.push([await startedDecoder(), await startedDecoder()])
  const { frameCount } = rounds[0]![0]
  const time_s = Float64Array.from({ length: frameCount }, (_, i) => i / truth.time.capture_fps)
  const decode: number[] = []
  const follow: number[] = []
  let runs = 0
  for (const [round, [alone, searched]] of rounds.entries()) {
    const start = performance.now()
    for (let frame = 0; frame < frameCount; frame++) await alone.luma(frame)
    const middle = performance.now()
    runs = (await findRuns(searched, lanes, { time_s })).runs.length
    const end = performance.now()
    alone.close()
    searched.close()
    // The first round warms up: compiled code, memory, files.
    if (round === 0) continue
    decode.push(middle - start)
    follow.push(end - middle)
  }
  const settle = await settleTimes()
  const beside = await followSideBySide('b_three_as_cut', 'B1', 6)
  return [
    figure('follow.vs_decode', median(decode.map((ms, i) => ms / follow[i]!)), '×'),
    figure('follow.ms_per_frame', (median(follow) - median(decode)) / frameCount, 'ms'),
    figure('follow.runs_found', runs, 'of 3'),
    figure('settle.ms_p50', percentile(settle, 0.5), 'ms'),
    figure('settle.ms_p95', percentile(settle, 0.95), 'ms'),
    ...(await besideDecoding()),
    ...beside.flatMap(besideFigures),
  ]
}

/** A decoder of its own process that has given its first frame and waits. */
async function startedDecoder(): Promise<NativeLuma> {
  const source = openNativeLuma(`${clip}.mp4`)
  await source.luma(0)
  return source
}

/**
 * The same in the tool's own decode thread in a real browser. Decoding alone hands every frame's brightness to a job that hardly looks at it; the
 * search is the one that the page asks for: streak sheets, turning and sizes nobody told come with it.
 */
async function besideDecoding(): Promise<Figure[]> {
  const truth = readTruth(`${clip}.truth.json`)
  const lanes = truthLanes(truth, undefined).map(({ id, x, y, arc }) => ({
    id,
    x: Array.from(x),
    y: Array.from(y),
    arc: Array.from(arc),
  }))
  const copy = join(cacheFolder('clips'), `${basename(clip)}.mp4`)
  copyFileSync(`${clip}.mp4`, copy)
  const bench = await startDecodePage({ isolated: true })
  try {
    const outcome = await bench.ask('open', [bench.url(copy)], [basename(copy)])
    if (!('facts' in outcome)) throw new Error(outcome.sentence)
    const alone: number[] = []
    const search: number[] = []
    let runs = 0
    for (let round = 0; round <= PAGE_ROUNDS; round++) {
      const { ms, means } = await bench.ask('sweep', { x: 0, y: 0, width: 16, height: 16 })
      if (means.length !== truth.time.frames || means.some(Number.isNaN)) throw new Error('frames are missing')
      const found = await bench.ask('findRuns', lanes, truth.time.capture_fps)
      runs = found.lanes.length
      if (round === 0) continue
      alone.push(ms)
      search.push(found.ms)
    }
    return [
      figure('follow.in_page.vs_decode', median(alone.map((ms, i) => ms / search[i]!)), '×'),
      figure('follow.in_page.ms_per_frame', (median(search) - median(alone)) / truth.time.frames, 'ms'),
      figure('follow.in_page.runs_found', runs, 'of 3'),
    ]
  } finally {
    await bench.close()
  }
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
