/**
 * Writes `samples/demo.slowlane.json`: the finished record of the demo. What the maker states is invented (`record/scenario.ts`); every mark is
 * found in the demo clips by the tool's own search, none is taken from the truth. Run after the clips: `npm run samples:record`.
 */
import { writeFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { turnDistance } from '../workers/locate/turn-distance.ts'
import { spinOf } from '../workers/measure/spin-of.ts'
import {
  parseRecord,
  stableJson,
  type LaneLine,
  type Run,
  type SlowlaneRecord,
  type View,
} from '../workers/record/index.ts'
import { clipFacts } from './record/clip-facts.ts'
import { foundIn, marksOf } from './record/found.ts'
import { scenario } from './record/scenario.ts'
import type { Statements } from './record/sources.ts'
import { loadTruth, type Truth } from './truth.ts'

const folder = fileURLToPath(new URL('clips/', import.meta.url))
const degree = Math.PI / 180
/** Points are placed with the loupe to a tenth of a pixel. */
const tenth = (x: number): number => Math.round(10 * x) / 10
const at = ([x, y]: readonly [number, number]) => ({ x: tenth(x), y: tenth(y) })

interface Filmed {
  readonly clipId: string
  readonly file: string
  readonly viewId: string
  readonly finishId: string
  readonly mounting: (key: string) => string
  readonly codec: string
  readonly container: string
}

const balls: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'lanes-as-cut.mp4': { A: 'steel-16', B: 'blue-18', C: 'red-19' },
  'lanes-sanded.mp4': { A: 'steel-16', B: 'blue-18', C: 'red-19' },
  'lane-a-both-ways.mp4': { A: 'blue-16' },
}

const onStand = (key: string): string => `stand-${key.toLowerCase()}`
const mp4 = { codec: 'H.264', container: 'MP4' } as const
const filmed: readonly Filmed[] = [
  { clipId: 'as-cut', file: 'lanes-as-cut.mp4', viewId: 'stand', finishId: 'as-cut', mounting: onStand, ...mp4 },
  { clipId: 'sanded', file: 'lanes-sanded.mp4', viewId: 'stand', finishId: 'sanded-400', mounting: onStand, ...mp4 },
  {
    clipId: 'both-ways',
    file: 'lane-a-both-ways.mp4',
    viewId: 'near',
    finishId: 'sanded-400',
    mounting: () => 'again-a',
    ...mp4,
  },
]

function viewOf(id: string, name: string, truth: Truth, distance_m: number, say: Statements): View {
  const { rectangle } = truth
  if (!rectangle) throw new Error(`${truth.name} has no rectangle`)
  const [a, b, c, d] = rectangle.corners_px
  const lines: Record<string, LaneLine> = {}
  for (const lane of truth.lanes) {
    const laneId = `lane-${lane.name.toLowerCase()}`
    lines[laneId] = {
      laneId,
      planeId: 'posts',
      shape: 'straight',
      points: [at(lane.line_px[0]!), at(lane.line_px.at(-1)!)],
    }
  }
  return {
    id,
    name,
    width: truth.image.width,
    height: truth.image.height,
    timebase:
      truth.capture_fps === truth.playback_fps
        ? { kind: 'file', drift: say.share(`clock-${id}`, 'the camera’s clock', 0, 5e-4, 'usual for a crystal') }
        : {
            kind: 'filmed-at',
            rate_hz: say.share(
              `rate-${id}`,
              'filming rate',
              truth.capture_fps,
              5e-4,
              'the camera’s setting and the file’s tag',
            ),
            spacing: 'timestamps',
          },
    planes: {
      posts: {
        kind: 'rectangle',
        id: 'posts',
        name: 'targets on the posts',
        corners: [at(a!), at(b!), at(c!), at(d!)],
        width_m: say.within(`width-${id}`, 'width between the targets', rectangle.width_m, 3e-4, 'm', 'steel rule'),
        height_m: say.within(`height-${id}`, 'height between the targets', rectangle.height_m, 3e-4, 'm', 'steel rule'),
        nearer_m: say.within(
          `nearer-${id}`,
          'targets and ball in one plane',
          0,
          1e-3,
          'm',
          'square against post and lane',
        ),
      },
    },
    lens: {
      kind: 'typed',
      k1: say.within(`lens-${id}`, 'lens curvature', 0, 0.002, '1', 'straight lanes look straight'),
    },
    gravity: [],
    lines,
    pitch_rad: say.within(
      `pitch-${id}`,
      'how far the camera looks down',
      7 * degree,
      1 * degree,
      'rad',
      'inclinometer on the camera',
    ),
    yaw_rad: say.within(
      `yaw-${id}`,
      'how far the camera is turned from square',
      0,
      0.5 * degree,
      'rad',
      'by eye along the bench',
    ),
    distance_m: say.within(`distance-${id}`, 'distance of the camera', distance_m, 0.02, 'm', 'tape'),
  }
}

async function addClip(record: SlowlaneRecord, one: Filmed, truth: Truth): Promise<void> {
  const path = folder + one.file
  const { clip, ticks } = await clipFacts(path, one.clipId, one.viewId, one.codec, one.container)
  record.clips[clip.id] = { ...clip, filmedOn: '2026-05-14' }
  const view = record.views[one.viewId]!
  const lines = Object.fromEntries(Object.values(view.lines).map((line) => [record.lanes[line.laneId]!.key, line]))
  const found = await foundIn(path, clip, ticks, truth.capture_fps, lines)
  const counts = new Map<string, number>()
  for (const passage of [...found].sort((a, b) => a.frames[0]! - b.frames[0]!)) {
    const number = (counts.get(passage.lane) ?? 0) + 1
    counts.set(passage.lane, number)
    const id = `${one.clipId}-${passage.lane.toLowerCase()}-${number}`
    const run: Run = {
      id,
      laneId: `lane-${passage.lane.toLowerCase()}`,
      mountingId: one.mounting(passage.lane),
      viewId: one.viewId,
      clipId: one.clipId,
      finishId: one.finishId,
      ballId: balls[one.file]![passage.lane]!,
      direction: passage.direction > 0 ? 'down' : 'up',
      marks: marksOf(passage, ticks),
    }
    const turning = turnDistance(passage.spin.looks, passage.spin.wayInRadii, { radius: 1 })
    const spin = turning.kind === 'turning' ? spinOf(record, run, turning) : undefined
    record.runs[id] = spin ? { ...run, spin } : run
  }
  console.log(`${one.file}: ${[...counts].map(([key, n]) => `${n} on ${key}`).join(', ')}`)
}

const { record, say } = scenario()
const truths = await Promise.all(filmed.map((one) => loadTruth(folder + one.file.replace(/\.\w+$/, '.truth.json'))))
record.views['stand'] = viewOf('stand', 'before the test stand', truths[0]!, 1.14, say)
record.views['near'] = viewOf('near', 'before lane A alone', truths[2]!, 1, say)
record.balls['blue-16'] = {
  id: 'blue-16',
  name: '16 mm resin, blue',
  material: 'resin',
  diameter_m: say.within('blue-16-size', 'diameter of the 16 mm resin ball', 0.016, 2e-5, 'm', 'calliper'),
  density_kg_m3: say.within('blue-16-density', 'density of the 16 mm resin ball', 1700, 20, 'kg/m3', 'weighed'),
}
record.mountings['again-a'] = {
  id: 'again-a',
  laneId: 'lane-a',
  name: 'lane A alone, set up again',
  slope: { kind: 'unknown' },
}
for (const [i, one] of filmed.entries()) await addClip(record, one, truths[i]!)

const checked = parseRecord(JSON.parse(stableJson(record)))
if (checked.kind !== 'ok') throw new Error(`the demo record does not read: ${JSON.stringify(checked)}`)
await writeFile(new URL('demo.slowlane.json', import.meta.url), stableJson(checked.record, 0))
