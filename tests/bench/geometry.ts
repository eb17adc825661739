import { laneGeometry, samplesOf, sourcesOfRun } from '../../workers/measure/index.ts'
import { noDeviations, type Deviations } from '../../workers/record/index.ts'
import { loadOracle } from '../support/geometry-oracle.ts'
import { figure, median, type Figure } from './figure.ts'
import { frontal, see } from '../unit/measure/pinhole.ts'
import { exact, onLane, sceneRecord, seeded } from '../unit/measure/scene.ts'

const count = 200_000
const rounds = 7

/**
 * Pixels to places along a lane with the full model (curved lens, tilted camera, projection on the lane), and how that compares with the oracle's lens and
 * perspective on the same points in the same run. The oracle's WebAssembly build exports no removal of distortion from single points, so its lens step
 * is the opposite one, which needs no iteration and is the cheaper: the ratio is if anything too low.
 */
export async function run(): Promise<Figure[]> {
  const camera = { ...frontal, yaw_rad: 0.09, pitch_rad: 0.12, k1: -0.05 }
  const record = sceneRecord({ camera })
  const geometry = laneGeometry(record, 'v', 'A', noDeviations)
  if (geometry.kind !== 'lane') throw new Error(`the bench's scene has no lane geometry: ${geometry.kind}`)
  const chance = seeded(1)
  const points = new Float64Array(2 * count)
  for (let i = 0; i < count; i++) {
    const p = see(camera, onLane(0.25 + 0.24 * chance()))
    points[2 * i] = p.x
    points[2 * i + 1] = p.y + 3 * chance()
  }

  const out = new Float64Array(3)
  let checksum = 0
  const ours = () => {
    for (let i = 0; i < count; i++) {
      geometry.project(points[2 * i]!, points[2 * i + 1]!, out)
      checksum += out[0]!
    }
  }

  const oracle = await loadOracle()
  const focal = camera.focal_px
  const half = Math.hypot(camera.width, camera.height) / 2
  const places = new Array<number>(3 * count)
  for (let i = 0; i < count; i++) {
    places[3 * i] = (points[2 * i]! - camera.width / 2) / focal
    places[3 * i + 1] = (points[2 * i + 1]! - camera.height / 2) / focal
    places[3 * i + 2] = 1
  }
  const mats = {
    places: oracle.places(places),
    turn: oracle.matrix(3, 1, [0, 0, 0]),
    shift: oracle.matrix(3, 1, [0, 0, 0]),
    camera: oracle.matrix(3, 3, [focal, 0, camera.width / 2, 0, focal, camera.height / 2, 0, 0, 1]),
    lens: oracle.matrix(4, 1, [camera.k1 * (focal / half) ** 2, 0, 0, 0]),
    shown: oracle.empty(),
    h: oracle.matrix(3, 3, Array.from(geometry.plane!.toMetres)),
    flat: oracle.empty(),
  }
  const theirs = () => {
    oracle.projectInto(mats.places, mats.turn, mats.shift, mats.camera, mats.lens, mats.shown)
    oracle.perspectiveInto(mats.shown, mats.flat, mats.h)
  }

  // Side by side, taking turns, so that whatever else the machine does meets both.
  const [our, their] = [[] as number[], [] as number[]]
  ours()
  theirs()
  for (let round = 0; round < rounds; round++) {
    our.push(seconds(ours))
    their.push(seconds(theirs))
  }
  for (const mat of Object.values(mats)) mat.delete()
  if (!Number.isFinite(checksum)) throw new Error('a point was mapped to no number')

  // One Monte Carlo draw of a run of 60 marks, geometry made anew.
  const long = sceneRecord({ camera, s: Array.from({ length: 60 }, (_, i) => i / 120) })
  long.views['v']!.distance_m = exact(camera.distance_m)
  const drawn: Deviations = new Map(sourcesOfRun(long, 'run').map((id) => [id, 0.1 * chance()]))
  const draws = () => {
    for (let i = 0; i < 500; i++) samplesOf(long, 'run', drawn)
  }
  draws()
  const perDraw = median(Array.from({ length: rounds }, () => seconds(draws) / 500))

  return [
    figure('geometry.map_points.per_s', count / median(our), '1/s'),
    figure('geometry.map_points.vs_oracle', median(their) / median(our), 'ratio'),
    figure('geometry.draw_60_marks', perDraw * 1e6, 'us'),
  ]
}

/** Processor seconds of this process: what else runs on the machine does not count. */
function seconds(work: () => void): number {
  const start = process.cpuUsage()
  work()
  const { user, system } = process.cpuUsage(start)
  return (user + system) / 1e6
}
