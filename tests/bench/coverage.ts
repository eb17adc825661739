import { seededRandom } from '../../workers/fit/numerics/random.ts'
import { nothingUnknown, runTrial, type Scene, type WayOfMeasuring } from '../support/coverage-lab.ts'
import { slowSpotTrial } from '../support/slow-spot-lab.ts'
import type { Figure } from './figure.ts'

const ways: readonly WayOfMeasuring[] = ['one-way', 'two-way', 'coast-down']
const quantities = ['a', 'c_rr', 'v_in', 'v_out'] as const

class Tally {
  private hits = 0
  count = 0
  private ratios = 0
  private rated = 0
  add(hit: boolean, ratio: number | null): void {
    this.count++
    if (hit) this.hits++
    if (ratio === null) return
    this.rated++
    this.ratios += ratio
  }
  get share(): number {
    return this.hits / this.count
  }
  get ratio(): number {
    return this.ratios / this.rated
  }
}

/**
 * Whether 95 % intervals hold the truth 95 times in 100, on simulated records in which every source is drawn from its stated distribution: one way,
 * two ways and coasting down, marks white or correlated by 0.5, runs alike or scattering. `width_ratio`: mean U over that of somebody who knows every
 * standard deviation (records whose runs are alike). `unknown.*`: a world with a bow, a camera out of square and resistance that goes with speed, which no
 * source stands for. Slow spots: false alarms on clean lanes, and how often a piece with 0.002 more is found.
 */
export function run(records = 2400): Promise<Figure[]> {
  const perCell = Math.ceil(records / 12)
  const all = new Map(quantities.map((name) => [name, new Tally()]))
  const byWay = new Map(ways.map((way) => [way, new Map(quantities.map((name) => [name, new Tally()]))]))
  let lost = 0
  for (const [w, way] of ways.entries())
    for (const rho of [0, 0.5])
      for (const between_m_s2 of [0, 0.003]) {
        const random = seededRandom(1000 * w + 100 * rho + (between_m_s2 > 0 ? 7 : 0))
        const scene: Scene = { way, rho, between_m_s2, unknowns: nothingUnknown, runs: way === 'two-way' ? 6 : 5 }
        for (let i = 0; i < perCell; i++) {
          const trial = runTrial(scene, random)
          if (!trial) {
            lost++
            continue
          }
          for (const name of quantities) {
            const estimate = trial.estimate[name]
            const hit = Math.abs(estimate.value - trial.truth[name]) <= estimate.U
            const ratio = trial.ideal && estimate.U / trial.ideal[name]
            all.get(name)!.add(hit, ratio)
            byWay.get(way)!.get(name)!.add(hit, ratio)
          }
        }
      }
  const figures: Figure[] = []
  const put = (name: string, value: number) => figures.push({ name: `coverage.${name}`, value, unit: 'share' })
  for (const name of quantities) put(name, all.get(name)!.share)
  const ratios = [...byWay.values()].flatMap((tallies) => [...tallies.values()].map(({ ratio }) => ratio))
  put('width_ratio', ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length)
  for (const [way, tallies] of byWay)
    for (const [name, tally] of tallies) {
      put(`${way}.${name}`, tally.share)
      put(`${way}.${name}.width_ratio`, tally.ratio)
    }
  put('lost', lost / (12 * perCell))
  unknownWorlds(Math.ceil(records / 8), put)
  slowSpots(Math.ceil(records / 6), put)
  return Promise.resolve(figures)
}

/** A lane bowed by 0.2°, a camera 0.3 % out of square, resistance that grows with speed: reported, not held to 95 %; the lane must be warned about. */
function unknownWorlds(count: number, put: (name: string, value: number) => void): void {
  const tallies = new Map(quantities.map((name) => [name, new Tally()]))
  const random = seededRandom(5)
  const warnings = new Set([
    'depends-on-speed',
    'uneven',
    'slow-spot',
    'marks-correlated',
    'runs-scatter',
    'ways-disagree',
  ])
  let warned = 0
  for (let i = 0; i < count; i++) {
    const unknowns = { bow_rad: 0.0035, yawScale: 0.003, rate_per_s: 0.06 }
    const trial = runTrial({ way: 'one-way', rho: 0, between_m_s2: 0, unknowns, runs: 5 }, random)
    if (!trial) continue
    if (trial.result.flags.some(({ kind }) => warnings.has(kind))) warned++
    for (const name of quantities) {
      const estimate = trial.estimate[name]
      tallies.get(name)!.add(Math.abs(estimate.value - trial.truth[name]) <= estimate.U, null)
    }
  }
  for (const [name, tally] of tallies) put(`unknown.${name}`, tally.share)
  put('unknown.warned', warned / count)
}

function slowSpots(count: number, put: (name: string, value: number) => void): void {
  const random = seededRandom(6)
  let [alarms, found] = [0, 0]
  for (let i = 0; i < count; i++) {
    if (slowSpotTrial(random, null).length > 0) alarms++
    const piece = random.below(10)
    if (slowSpotTrial(random, { piece, crr: 0.002 }).some(({ from_m }) => Math.abs(from_m - piece / 10) < 0.03)) found++
  }
  put('slow_spot.false_alarm', alarms / count)
  put('slow_spot.power', found / count)
}
