import { describe, expect, test } from 'vitest'
import fc from 'fast-check'
import {
  alternativesFor,
  basisSentence,
  checkAgainOn,
  exitEnergy,
  fillTime,
  flowOf,
  jointEffect,
  laneMargin,
  laneSetting,
  liftSentence,
  marginSentence,
  noMarginSentence,
  noShimSentence,
  planOfTests,
  proofSentence,
  shimFor,
  speedOfWish,
  stackOf,
  supportsOf,
  type LaneMargin,
  type LaneSetting,
  type Shim,
} from '../../../workers/decide/index.ts'
import { laneResults, sourceBookOf, type SourceBook } from '../../../workers/fit/index.ts'
import { toleranceHolds } from '../../bench/decide.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'
import { gravity, grooveK, madeLane, madeRecord } from '../../support/made-lane.ts'

const degree = Math.PI / 180
const book: SourceBook = { coverage: 0.95, sources: {} }
const scattered = [0.0078, 0.0082, 0.008, 0.0084, 0.0076]

function marginOf(
  made: Parameters<typeof madeLane>[1] = { crr: scattered },
  edit?: (r: ReturnType<typeof madeRecord>) => void,
): LaneMargin {
  const record = madeRecord(['A'], made.slope_rad)
  edit?.(record)
  const margin = laneMargin(record, book, madeLane(book, made))
  if (margin.kind !== 'margin') throw new Error(margin.kind)
  return margin
}
function settingOf(made: Parameters<typeof madeLane>[1] = { crr: scattered }): LaneSetting {
  const setting = laneSetting(madeRecord(['A'], made.slope_rad), book, madeLane(book, made))
  if (setting.kind !== 'setting') throw new Error(setting.kind)
  return setting
}
const shimOf = (shim: { kind: string }): Shim => {
  if (shim.kind !== 'shim') throw new Error(shim.kind)
  return shim as Shim
}

describe('needed slope', () => {
  test('is C̄_rr + K·s for moving balls: K of five runs, 99 % held with 95 % confidence, is 5.741', () => {
    const { moving, limit } = marginOf()
    expect(limit.factor).toBeCloseTo(5.7411, 3)
    expect(moving.tangent).toBeCloseTo(0.008 + 5.7411 * limit.scatter, 6)
    expect(moving.margin).toBeCloseTo(Math.tan(0.035) - moving.tangent, 9)
  })

  test('its parts add up to it', () => {
    for (const need of [marginOf().moving, marginOf().passing]) {
      const sum = Object.values(need.parts).reduce((a, b) => a + b, 0)
      expect(sum).toBeCloseTo(need.tangent, 12)
    }
  })

  test('the slope’s own ± does not widen it: slope and C_rr are measured against each other', () => {
    const a = (gravity * (Math.sin(2 * degree) - 0.008 * Math.cos(2 * degree))) / grooveK
    const doubt = (half_deg: number): number => {
      const builder = new RecordBuilder()
      const angle = builder.stated(
        2 * degree,
        'slope',
        { kind: 'rectangular', half: half_deg * degree },
        { unit: 'rad' },
      )
      builder.lane('A', { slope_rad: 2 * degree, slope: { kind: 'angle', angle_rad: angle } })
      for (const v of [0.2, 0.21, 0.19]) builder.run({ s: constantAcceleration(0.02, v, a), to: 340 })
      const { record } = builder
      const margin = laneMargin(record, sourceBookOf(record), laneResults(record)[0]!)
      if (margin.kind !== 'margin') throw new Error(margin.kind)
      return margin.moving.parts.doubt
    }
    expect(doubt(0.5)).toBeLessThan(1.02 * doubt(0.01) + 1e-9)
  })

  test('balls that bring speed along get through a flatter lane than balls that crawl', () => {
    const { moving, passing } = marginOf({ crr: scattered, entry_m_s: 0.3 })
    // 0.3 m/s is worth k·v²/2g = 8.26 mm of height over 0.6 m of way.
    expect(moving.tangent - passing.tangent).toBeCloseTo((grooveK * 0.09) / (2 * gravity) / (0.6 * Math.cos(0.035)), 4)
  })

  test('start angles make it a margin from rest, and it leads where it is greater', () => {
    const angles = [0.0121, 0.0134, 0.0118, 0.0142, 0.0127, 0.0131, 0.0125, 0.0138].map(Math.atan)
    const margin = marginOf({ crr: scattered }, (record) => {
      record.trials['t'] = {
        kind: 'start-angles',
        id: 't',
        laneId: 'A',
        mountingId: null,
        finishId: 'cut',
        ballId: null,
        angles_rad: angles,
      }
    })
    expect(margin.fromRest!.tangent).toBeCloseTo(0.0165628, 6)
    expect(margin.need).toBe(margin.fromRest)
    expect(basisSentence(margin)).toContain('8 start angles')
    expect(basisSentence(marginOf())).toContain('Moving balls only')
  })

  test('with the start angle at 0° of scatter, more runs only lower what is needed', () => {
    fc.assert(
      fc.property(fc.integer({ min: 3, max: 12 }), fc.double({ min: 1e-5, max: 1e-3, noNaN: true }), (n, step) => {
        const of = (count: number) =>
          marginOf({ crr: Array.from({ length: count }, (_, i) => 0.008 + (i % 2 === 0 ? step : -step)) }).moving
            .tangent
        return of(2 * n + 2) <= of(2 * n) + 1e-12
      }),
      { seed: 3, numRuns: 25 },
    )
  })
})

describe('slope window', () => {
  test('its greatest slope gives exactly the exit speed that was wished, for the fastest of nearly all balls', () => {
    const crr = [0.008, 0.008, 0.008]
    const { window } = marginOf({ crr }, (record) => {
      record.settings.gentleExit_m_s = 0.4
    })
    const a = (gravity * (Math.sin(window.greatest_rad!) - 0.008 * Math.cos(window.greatest_rad!))) / grooveK
    // The cosine of a slope this small changes by 1e-4.
    expect(Math.sqrt(0.2 ** 2 + 2 * a * 0.6)).toBeCloseTo(0.4, 4)
    expect(window.state).toBe('too-steep')
  })

  test('says when no slope does both, and when even a level lane is too fast', () => {
    const wide = [0.006, 0.012, 0.009, 0.011, 0.007]
    const gentle = (v: number) => (record: ReturnType<typeof madeRecord>) => {
      record.settings.gentleExit_m_s = v
    }
    const none = marginOf({ crr: wide }, gentle(0.38))
    expect(none.window.state).toBe('no-window')
    expect(marginSentence(none)).toContain('No slope does both')
    expect(marginOf({ crr: scattered, entry_m_s: 0.6 }, gentle(0.1)).window.state).toBe('cannot-be-gentle')
  })

  test('a wish for energy or height of fall is a wish for speed', () => {
    const ball = { k: 1.4, mass_kg: 0.016793, g_m_s2: 9.80665 }
    const energy = speedOfWish({ kind: 'energy', energy_J: 1e-3 }, ball)
    const drop = speedOfWish({ kind: 'drop', drop_m: 0.01 }, ball)
    if (energy.kind !== 'speed' || drop.kind !== 'speed') throw new Error('no speed')
    expect(0.5 * 1.4 * 0.016793 * energy.speed_m_s ** 2).toBeCloseTo(1e-3, 12)
    expect(drop.speed_m_s).toBeCloseTo(Math.sqrt(2 * 9.80665 * 0.01), 12)
    expect(speedOfWish({ kind: 'energy', energy_J: 1 }, { ...ball, mass_kg: null }).kind).toBe('mass-unknown')
    expect(speedOfWish({ kind: 'drop', drop_m: -1 }, ball).kind).toBe('not-positive')
  })
})

test('the energy line loses exactly C_rr in height per metre of level way, and its smallest place is the entry while balls gain speed', () => {
  const { energy } = marginOf({ crr: [0.008, 0.008, 0.008] })
  const { at_m, energy_m, smallest } = energy!
  const way = (at_m.at(-1)! - at_m[0]!) * Math.cos(0.035)
  expect((energy_m[0]! - energy_m.at(-1)!) / way).toBeCloseTo(0.008, 5)
  expect(smallest.at_m).toBe(at_m[0])
  // k·v²/2g of 0.2 m/s
  expect(smallest.reserve_m).toBeCloseTo((grooveK * 0.04) / (2 * gravity), 7)
})

describe('shim', () => {
  const record = madeRecord(['A'], 0.02)
  const setting = settingOf({ crr: scattered, slope_rad: 0.02 })
  const supports = supportsOf(record, 'A')

  test('lifts the upper support by base × change of sine, and the stack never falls short', () => {
    const shim = shimOf(shimFor(book, setting, supports, 0.028))
    const [lift] = shim.lifts
    expect(lift!.support.id).toBe('upper')
    expect(lift!.height_m).toBeCloseTo(0.5 * (Math.sin(0.028) - Math.sin(0.02)), 12)
    expect(stackOf(lift!)!.height_m).toBeGreaterThanOrEqual(lift!.height_m - 1e-9)
    expect(shim.reached_rad).toBeGreaterThanOrEqual(0.028 - 1e-6)
    expect(liftSentence(lift!)).toMatch(/^upper support: raise by 4\.00 mm – washers .*M/)
  })

  test('what it does to the exit is what the laws of motion say of the new slope', () => {
    const shim = shimOf(shimFor(book, setting, supports, 0.028))
    if (shim.after.kind !== 'changed') throw new Error(shim.after.kind)
    const mean = 0.008
    const a = (gravity * (Math.sin(shim.reached_rad) - mean * Math.cos(shim.reached_rad))) / grooveK
    expect(shim.after.exit.value).toBeCloseTo(Math.sqrt(0.2 ** 2 + 1.2 * a), 4)
    expect(shim.after.transit_s).toBeCloseTo(1.2 / (0.2 + shim.after.exit.value), 3)
    expect(shim.after.energyRatio).toBeCloseTo(shim.after.spacingRatio ** 2, 12)
  })

  test('a third support between is lifted in proportion', () => {
    const three = madeRecord(['A'], 0.02)
    three.lanes['A']!.supports.push({ id: 'mid', name: 'middle', at_m: { value: 0.33, sources: [] } })
    const shim = shimOf(shimFor(book, setting, supportsOf(three, 'A'), 0.028))
    expect(shim.lifts.map(({ support }) => support.id)).toEqual(['upper', 'mid'])
    expect(shim.lifts[1]!.height_m).toBeCloseTo(shim.lifts[0]!.height_m / 2, 12)
  })

  test('to the slowest lane the far end goes up, and never too far', () => {
    const steep = settingOf({ crr: scattered, slope_rad: 0.035 })
    const shim = shimOf(shimFor(book, steep, supportsOf(madeRecord(), 'A'), 0.0301))
    expect(shim.how).toBe('raise-lower')
    expect(shim.reached_rad).toBeGreaterThanOrEqual(0.0301 - 1e-6)
  })

  test('supports missing, single, or at one place get a sentence', () => {
    const bare = madeRecord()
    bare.lanes['A']!.supports = []
    const of = () => shimFor(book, setting, supportsOf(bare, 'A'), 0.03)
    const none = of()
    if (none.kind !== 'no-supports') throw new Error(none.kind)
    expect(noShimSentence(none)).toContain('without its supports')
    for (const id of ['a', 'b']) bare.lanes['A']!.supports.push({ id, name: id, at_m: { value: 0.3, sources: [] } })
    const same = of()
    if (same.kind !== 'at-one-place') throw new Error(same.kind)
    expect(noShimSentence(same)).toContain('as good as at one place')
  })
})

describe('alternatives of a lane short of margin', () => {
  const record = madeRecord(['A'], 0.0095)
  const results = [
    madeLane(book, { crr: scattered, slope_rad: 0.0095, entry_m_s: 0.25 }),
    madeLane(book, { crr: scattered.map((c) => c * 0.5), slope_rad: 0.0095, finish: 'sanded', entry_m_s: 0.25 }),
  ]
  const margin = laneMargin(record, book, results[0]!)
  if (margin.kind !== 'margin') throw new Error(margin.kind)
  const all = alternativesFor(record, book, results, margin)

  test('each that reaches the aim has its margin', () => {
    expect(margin.need.margin).toBeLessThan(0)
    expect(marginSentence(margin)).toContain('Short of margin')
    const { window } = margin
    expect(shimOf(all.raise).reached_rad).toBeGreaterThanOrEqual(window.least_rad - 1e-9)
    expect(shimOf(all.lower).lifts[0]!.height_m).toBeLessThan(0)
    expect(all.finishes[0]!.margin).toBeGreaterThan(0)
    expect(all.slowest).toBeNull()
  })

  test('an opened groove reaches it by the cautious law, or it is said that none does', () => {
    const { groove } = all
    if (groove.kind !== 'groove') throw new Error(groove.kind)
    expect(groove.margin).toBeGreaterThanOrEqual(-1e-9)
    expect(groove.to_rad).toBeGreaterThan(groove.from_rad)
    expect(groove.crr[0]).toBeLessThanOrEqual(groove.crr[1])
  })
})

describe('flow', () => {
  const record = madeRecord()
  record.clips['clip'] = { id: 'clip' } as never
  const results = madeLane(book, { crr: scattered, every_s: 0.9 })
  for (const run of results.series[0]!.runs) record.runs[run.runId] = { clipId: 'clip' } as never
  const setting = laneSetting(record, book, results)
  if (setting.kind !== 'setting') throw new Error(setting.kind)

  test('balls every 0.9 s are 1.11 a second, and those on the lane are rate × transit', () => {
    const flow = flowOf(record, setting)
    if (flow.kind !== 'flow') throw new Error(flow.kind)
    expect(flow.interval.mean).toBeCloseTo(0.9, 9)
    expect(flow.onLane).toBeCloseTo(setting.series.transit!.value / 0.9, 9)
    expect(flow.spacing.mean).toBeCloseTo(0.9 * setting.series.exit!.filmed.value, 2)
    expect(flow.touch!).toBeLessThan(1e-6)
  })

  test('a slower exit fills the lane, an equal one never does', () => {
    const flow = flowOf(record, setting)
    if (flow.kind !== 'flow') throw new Error(flow.kind)
    const filling = fillTime(flow, setting, 0.9)
    if (filling.kind !== 'fills') throw new Error(filling.kind)
    expect(filling.holds).toBe(37)
    expect(filling.after_s).toBeCloseTo((37 - flow.onLane) / (1 / 0.9 - 0.9), 9)
    expect(fillTime(flow, setting, 2).kind).toBe('never-fills')
  })

  test('a typed interval stands in for clips of single balls', () => {
    expect(flowOf(madeRecord(), setting).kind).toBe('one-ball-at-a-time')
    expect(flowOf(record, setting, -1).kind).toBe('interval-not-positive')
    const flow = flowOf(record, setting, 0.05)
    if (flow.kind !== 'flow') throw new Error(flow.kind)
    expect(flow.rate_per_s).toBeGreaterThan(flow.capacity_per_s)
    expect(fillTime(flow, setting, 1).kind).toBe('over-capacity')
  })
})

describe('counts and dates', () => {
  test('0 of 200 prove under 1.5 %', () => {
    const margin = marginOf({ crr: scattered }, (record) => {
      record.trials['t'] = {
        kind: 'passages',
        id: 't',
        laneId: 'A',
        mountingId: 'on-A',
        finishId: 'cut',
        ballId: null,
        passages: 200,
        stalls: 0,
      }
    })
    expect(proofSentence(margin.proof!)).toBe('0 of 200 stalled: under 1.5 % (95 % confidence).')
  })

  test('“one in 100” takes 299 clean passages', () => {
    expect(planOfTests(0.95).find(({ oneIn }) => oneIn === 100)!.passages).toBe(299)
  })

  test('passages of another mounting do not count, start angles do', () => {
    const margin = marginOf({ crr: scattered }, (record) => {
      record.trials['t'] = {
        kind: 'passages',
        id: 't',
        laneId: 'A',
        mountingId: 'elsewhere',
        finishId: 'cut',
        ballId: null,
        passages: 50,
        stalls: 3,
      }
    })
    expect(margin.proof).toBeNull()
  })

  test('a lane filmed on 30 November is to be checked on the last of February', () => {
    const record = madeRecord()
    record.createdAt = '2026-11-30T10:00:00Z'
    expect(checkAgainOn(record, { laneId: 'A', finishId: 'cut' })).toBe('2027-02-28')
  })
})

test('a climbing lane and a single run get a sentence instead of a margin', () => {
  const record = madeRecord()
  const climbing = laneMargin(record, book, madeLane(book, { crr: scattered, slope_rad: -0.01, entry_m_s: 0.8 }))
  if (climbing.kind !== 'climbs') throw new Error(climbing.kind)
  expect(noMarginSentence(record, 'A', climbing)).toContain('climbs by 0.57°')
  const single = laneMargin(record, book, madeLane(book, { crr: [0.008] }))
  if (single.kind !== 'too-few-runs') throw new Error(single.kind)
  expect(noMarginSentence(record, 'A', single)).toContain('1 run of lane A')
})

test('a gap stops a resting ball long before it slows a moving one', () => {
  const effect = jointEffect(madeRecord(), settingOf(), { kind: 'gap', size_m: 1e-3 })
  if (effect.kind !== 'passes') throw new Error(effect.kind)
  expect(effect.startMargin).toBeLessThan(0)
  expect(effect.speedMargin_m_s).toBeGreaterThan(0)
  expect(jointEffect(madeRecord(), settingOf(), { kind: 'step', size_m: 9e-3 }).kind).toBe('falls-in')
})

test('energy at the exit splits into travel and spin by k', () => {
  const setting = settingOf()
  const energy = exitEnergy(book, setting)!
  expect(energy.spin_J! / energy.energy!.value).toBeCloseTo(0.8 / 1.8, 12)
  expect(energy.spinShare.value).toBeCloseTo(0.8 / 1.8, 12)
  expect(energy.climb.value).toBeCloseTo(1.8 * energy.drop.value, 12)
})

test('the needed slope holds its share as often as promised (a small count; the bench counts more)', () => {
  // 95 % of 800 within limits of 1 in 10 000.
  expect(Math.abs(toleranceHolds(800, 31, false).held - 0.95)).toBeLessThan(0.03)
})
