import { describe, expect, test } from 'vitest'
import { laneResults } from '../../workers/fit/index.ts'
import { longRun } from '../support/long-run.ts'
import { trueFigures, usedMarks } from '../support/main-job-truth.ts'
import { settledRecord } from '../support/settled-record.ts'

// Four clips rendered by a program that shares no code with this one, with their truth: tests/data/clips/README.md.
const clips = new URL('../data/clips/', import.meta.url).pathname

/** Clips and balls, and the greatest U of a speed there [m/s]: a few thousandths, but more where a slow spot bends the motion within the tenth of
 *  a metre of one piece, of which sharp marks say that it does not do. */
const quick = [
  ['a_single_v', 'A1', 0.004],
  ['c_three_sanded', 'B1', 0.004],
] as const
const further = [
  ['b_three_as_cut', 'A1', 0.004],
  ['b_three_as_cut', 'B1', 0.025],
  ['b_three_as_cut', 'C1', 0.004],
  ['c_three_sanded', 'A1', 0.004],
  ['c_three_sanded', 'C1', 0.004],
  ['d_level_both_ways', 'A1', 0.005],
] as const

// Settled marks are sharp enough to show that resistance grows with speed; one run from rest on, as a newcomer marks it.
describe.each(longRun ? [...quick, ...further] : quick)('clip %s, ball %s, every press settled', (name, ball, most) => {
  test('entry and exit speed, acceleration and C_rr lie within U of the truth', async () => {
    const { record, seen, lane, marked } = await settledRecord(`${clips}${name}`, ball)
    const { series } = laneResults(record).find(({ laneId }) => laneId === lane.name)!
    const { entry, exit, acceleration, crr, model, marks } = series[0]!
    const { used, sigma_m } = usedMarks(series[0]!, marked)
    const truth = trueFigures(seen, lane, used, { entryAt_m: entry!.at_m, exitAt_m: exit!.at_m }, sigma_m)
    const off = (estimate: { value: number; U: number }, is: number) => (estimate.value - is) / estimate.U
    const read = [
      ['entry', entry!.filmed, truth.entry],
      ['exit', exit!.filmed, truth.exit],
      ['acceleration', acceleration, truth.acceleration],
      ['C_rr', crr!, truth.crr],
    ] as const
    const words = read.map(
      ([what, { value, U }, is]) => `${what} ${value.toFixed(5)} ± ${U.toFixed(5)} (${is.toFixed(5)})`,
    )
    console.log(`${name} ${ball}: ${words.join(', ')}; ${model.kind}, correlated ${marks.correlation.toFixed(2)}`)
    for (const [what, estimate, is] of read) expect(Math.abs(off(estimate, is)), what).toBeLessThanOrEqual(1)
    for (const speed of [entry!, exit!]) expect(speed.filmed.U).toBeLessThan(most)
  })
})
