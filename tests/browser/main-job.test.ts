import type { Server } from 'node:http'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { loadTruth, type Track } from '../../samples/truth.ts'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { longRun } from '../support/long-run.ts'
import { doMainJob, readFigures, type MainJob } from '../support/main-job.ts'
import { repository } from '../support/repository.ts'

let browser: Browser
let server: Server
let address: string

beforeAll(async () => {
  server = await serveSite(await builtSite(), 0)
  address = `http://localhost:${portOf(server)}/`
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
})

/** Least squares parabola through true places: its acceleration [m/s²], by differences of weights (no library of ours). */
function parabola(t: readonly number[], s: readonly number[]): number {
  const n = t.length
  const mean = t.reduce((a, b) => a + b, 0) / n
  const u = t.map((x) => x - mean)
  const m = (p: number) => u.reduce((a, x) => a + x ** p, 0)
  const r = (p: number) => u.reduce((a, x, i) => a + x ** p * s[i]!, 0)
  const [s0, s1, s2, s3, s4] = [m(0), m(1), m(2), m(3), m(4)]
  const det = s0 * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s3 * s2) + s2 * (s1 * s3 - s2 * s2)
  const third = s0 * (s2 * r(2) - r(1) * s3) - s1 * (s1 * r(2) - r(1) * s2) + r(0) * (s1 * s3 - s2 * s2)
  return (2 * third) / det
}

/** The frames of a ball's way in which all of it is in the picture. */
function wholeFrames(track: Track): Track {
  const kept = [...track.frame.keys()].filter((i) => track.state[i] === 'visible')
  const pick = <T>(column: readonly T[]): T[] => kept.map((i) => column[i]!)
  const { ball, lane } = track
  return {
    ball,
    lane,
    frame: pick(track.frame),
    t: pick(track.t),
    s: pick(track.s),
    v: pick(track.v),
    x: pick(track.x),
    y: pick(track.y),
    ox: pick(track.ox),
    oy: pick(track.oy),
    r: pick(track.r),
    seen: pick(track.seen),
    post: pick(track.post),
    state: pick(track.state),
  }
}

interface Filmed {
  readonly name: string
  readonly ball: string
  readonly truth: string
  readonly job: Omit<MainJob, 'corners'>
}

const data = (name: string): string => join(repository, 'tests/data/clips', name)
const inch34 = '19.05 mm (3/4 in)'

const jobs: readonly Filmed[] = [
  {
    name: 'an H.264 clip, rate typed',
    ball: 'A1',
    truth: data('b_three_as_cut.truth.json'),
    job: {
      file: data('b_three_as_cut.mp4'),
      time: /^Filmed at 240/,
      width: '420 ± 0.3',
      height: '285 ± 0.3',
      slope_deg: 1.6,
      diameter: inch34,
      included: undefined,
      every: 4,
    },
  },
  {
    name: 'a Motion JPEG clip in AVI through the fallback decoder, in the file’s own time',
    ball: 'B1',
    truth: join(repository, 'samples/clips/lane-b-motion-jpeg.truth.json'),
    job: {
      file: join(repository, 'samples/clips/lane-b-motion-jpeg.avi'),
      time: /^The file’s own time/,
      width: '430 ± 0.3',
      height: '160 ± 0.3',
      slope_deg: 2.3,
      diameter: '18 mm',
      included: '100 ± 1',
      every: 4,
    },
  },
]

/** The other three clips of the independent renderer: minutes of pressing, so only in the long run. */
const longJobs: readonly Filmed[] = [
  {
    name: 'one lane, rate taken from the file’s tag',
    ball: 'A1',
    truth: data('a_single_v.truth.json'),
    job: {
      file: data('a_single_v.mp4'),
      time: /^Filmed at 240, says the file/,
      width: '440 ± 0.3',
      height: '200 ± 0.3',
      slope_deg: 2.4,
      diameter: inch34,
      included: undefined,
      every: 4,
    },
  },
  {
    name: 'a steeper groove after sanding',
    ball: 'B1',
    truth: data('c_three_sanded.truth.json'),
    job: {
      file: data('c_three_sanded.mp4'),
      time: /^Filmed at 240/,
      width: '420 ± 0.3',
      height: '285 ± 0.3',
      slope_deg: 2.2,
      diameter: inch34,
      included: '75 ± 1',
      every: 4,
    },
  },
  {
    name: 'a nearly level lane that slows the ball downhill',
    ball: 'A1',
    truth: data('d_level_both_ways.truth.json'),
    job: {
      file: data('d_level_both_ways.mp4'),
      time: /^The file’s own time/,
      width: '460 ± 0.3',
      height: '160 ± 0.3',
      slope_deg: 0.12,
      diameter: '25.4 mm (1 in)',
      included: undefined,
      every: 4,
    },
  },
]

describe('a newcomer with a mouse measures a lane from footage to resistance, within the stated U of the truth', () => {
  test.each(longRun ? [...jobs, ...longJobs] : jobs)(
    '$name',
    { timeout: 900_000 },
    async ({ ball, truth: file, job }) => {
      const truth = await loadTruth(file)
      const track = truth.tracks.find((one) => one.ball === ball)
      const lane = truth.lanes.find(({ name }) => name === track?.lane)
      if (!track || !lane || !truth.rectangle) throw new Error(`${file} lacks ${ball}, its lane or the rectangle`)
      const [bottomLeft, bottomRight, topRight, topLeft] = truth.rectangle.corners_px.map(([x, y]) => ({ x, y }))
      const seen = wholeFrames(track)
      const marked = [...seen.frame.keys()].filter((i) => (seen.frame[i]! - seen.frame[0]!) % job.every === 0)

      const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
      const page = await context.newPage()
      const errors = collectErrors(page)
      await doMainJob(
        page,
        address,
        { ...job, corners: [topLeft!, topRight!, bottomRight!, bottomLeft!] },
        seen,
        marked,
      )
      const { entry, exit, acceleration, crr, entryAt_m, exitAt_m, drawn } = await readFigures(page)
      await context.close()

      // The lane's line starts where the ball is first seen whole.
      const trueSpeedAt = (from_m: number) => {
        const s = from_m + seen.s[0]!
        const after = seen.s.findIndex((place) => place >= s)
        const [i, j] = [Math.max(0, after - 1), after]
        return seen.s[j] === seen.s[i]
          ? seen.v[j]!
          : seen.v[i]! + ((seen.v[j]! - seen.v[i]!) * (s - seen.s[i]!)) / (seen.s[j]! - seen.s[i]!)
      }
      const a = parabola(
        marked.map((i) => seen.t[i]!),
        marked.map((i) => seen.s[i]!),
      )
      const c = Math.tan(lane.slope_rad) - (lane.k * a) / (9.80665 * Math.cos(lane.slope_rad))
      const off = (figure: { value: number; U: number }, is: number) =>
        `${figure.value} ± ${figure.U}, truth ${is.toPrecision(5)}`
      console.log(
        `${ball}: entry ${off(entry, trueSpeedAt(entryAt_m))}; exit ${off(exit, trueSpeedAt(exitAt_m))}; a ${off(acceleration, a)}; C_rr ${off(crr, c)}; by draws ± ${drawn.U}`,
      )
      expect(Math.abs(entry.value - trueSpeedAt(entryAt_m))).toBeLessThanOrEqual(entry.U)
      expect(Math.abs(exit.value - trueSpeedAt(exitAt_m))).toBeLessThanOrEqual(exit.U)
      expect(Math.abs(acceleration.value - a)).toBeLessThanOrEqual(acceleration.U)
      expect(Math.abs(crr.value - c)).toBeLessThanOrEqual(crr.U)
      // Nothing holds by a U that is wider than the stated inputs ask for.
      expect(crr.U).toBeLessThanOrEqual(1.5 * drawn.U)
      expect(errors).toEqual([])
    },
  )
})
