import { expect, test } from 'vitest'
import { evaluateSeries, noProbes, probesOf, Settings } from '../../../workers/fit/evaluate.ts'
import { sourceBookOf } from '../../../workers/fit/index.ts'
import { planLane } from '../../../workers/fit/plan.ts'
import { relevantSources } from '../../../workers/fit/relevant-sources.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import { standardUncertainty } from '../../../workers/record/index.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'

test('sources moved through a few marks of a lane change results as if every mark were computed', () => {
  const random = seededRandom(8)
  const builder = new RecordBuilder()
  const view = builder.record.views['view']!
  const rate = builder.stated(240, 'rate', { kind: 'rectangular', half: 0.001 }, { unit: 'Hz', relative: true })
  view.timebase = { kind: 'filmed-at', rate_hz: rate, spacing: 'even' }
  view.distance_m = builder.stated(1.1, 'distance', { kind: 'normal', u: 0.02 }, { unit: 'm' })
  const plane = view.planes['plane']!
  plane.nearer_m = builder.stated(0.004, 'depth', { kind: 'rectangular', half: 0.002 }, { unit: 'm' })
  builder.lane('A')
  for (let i = 0; i < 4; i++)
    builder.run({
      s: constantAcceleration(0.01, 0.15 + 0.02 * i, 0.12),
      to: 400,
      every: 2,
      noise_px: () => [0.5 * random.normal(), 0.5 * random.normal()],
    })
  const { record } = builder
  const book = sourceBookOf(record)
  const [{ plan, places }] = planLane(record, 'A').finishes[0]!.series as [
    ReturnType<typeof planLane>['finishes'][0]['series'][0],
  ]
  const probes = probesOf(record, [plan])
  expect([...probes.values()].every((probe) => probe !== null)).toBe(true)
  let compared = 0
  for (const id of relevantSources(record, plan).marks) {
    const step = standardUncertainty(book.sources[id]!.distribution)
    const deviations = new Map([[id, step]])
    const settings = new Settings(record, deviations)
    const base = evaluateSeries(record, plan, places, new Map(), new Settings(record, new Map()), false, noProbes)!
    const quick = evaluateSeries(record, plan, places, deviations, settings, true, probes)!
    const full = evaluateSeries(record, plan, places, deviations, settings, true, noProbes)!
    for (const [b, q, f] of [
      [base.acceleration_m_s2, quick.acceleration_m_s2, full.acceleration_m_s2],
      [base.exit_m_s[0]!, quick.exit_m_s[0]!, full.exit_m_s[0]!],
    ] as const) {
      // Within a hundredth of the effect, or far below what matters of the number itself.
      expect(Math.abs(q - f), id).toBeLessThan(0.01 * Math.abs(f - b) + 2e-6 * Math.abs(b))
      compared++
    }
  }
  expect(compared).toBeGreaterThan(20)
})
