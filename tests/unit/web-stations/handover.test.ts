import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, test } from 'vitest'
import { laneResults, sourceBookOf, type LaneResult } from '../../../workers/fit/index.ts'
import {
  csvBytes,
  proposeColumns,
  readSheet,
  resimulateLane,
  simulatorForms,
  tablesOf,
  type Sheet,
} from '../../../workers/handover/index.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { carryOut, knownByName, planImport, type ImportChoices } from '../../../web/stations/handover/import-plan.ts'
import { cssString } from '../../../web/stations/handover/report/running-heads.ts'
import { leftOverFigure, overFigure, scatterSentence } from '../../../web/stations/handover/rerun-figures.ts'
import { fieldText, groupedForms, unitText } from '../../../web/stations/handover/shown-forms.ts'
import { repository } from '../../support/repository.ts'

let demo: SlowlaneRecord
let results: readonly LaneResult[]
let sheet: Sheet

const readTable = (text: string): Sheet => {
  const read = readSheet(new TextEncoder().encode(text))
  if (read.kind !== 'sheet') throw new Error(read.kind)
  return read
}

beforeAll(() => {
  demo = JSON.parse(readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8')) as SlowlaneRecord
  results = laneResults(demo)
  const marks = tablesOf(demo, results).find(({ name }) => name === 'marks')!
  const read = readSheet(csvBytes(marks))
  if (read.kind !== 'sheet') throw new Error(read.kind)
  sheet = read
})

const choicesFor = (of: Sheet): ImportChoices => ({
  columns: proposeColumns(of),
  clipId: Object.keys(demo.clips)[0]!,
  firstFrame: 0,
  target: null,
  named: 'replace',
  lengths: { kind: 'unknown' },
  times: { kind: 'unknown' },
  rate_hz: null,
  sigma_m: 0.0005,
})
let ids = 0
const newId = (what: string) => `${what}-new-${ids++}`
const file = { name: 'marks.csv', size: 1 }

describe('forms as shown', () => {
  test('the drag at the centre leads the valid ones, every form stands in one group', () => {
    const { forms } = simulatorForms(demo, sourceBookOf(demo), results[0]!)
    const groups = groupedForms(forms)
    expect(groups.map(({ kind }) => kind)).toEqual(['valid', 'limited', 'refused'])
    expect(groups[0]!.forms[0]!.id).toBe('centre-drag')
    expect(groups.flatMap((group) => group.forms.map(({ id }) => id)).sort()).toEqual(forms.map(({ id }) => id).sort())
  })

  test('units are written as people write them, numbers with their ±', () => {
    expect(['1', 'm/s2', 'kg.m2', 'N.m', 'm2/s2', '1/s'].map(unitText)).toEqual([
      '',
      'm/s²',
      'kg·m²',
      'N·m',
      'm²/s²',
      '1/s',
    ])
    expect(fieldText({ name: 'F', value: 0.0018349, U: 0.00015586, unit: 'N' })).toBe('0.00183 ± 0.00016 N')
  })
})

describe('the run rolled once more, as drawn', () => {
  test('has every mark, only finite numbers, and residuals that are marks less the curve', () => {
    const [rerun] = resimulateLane(demo, sourceBookOf(demo), results[0]!).filter((one) => one.kind === 'resimulated')
    const look = { lane: 0, of: 'lane A' }
    const over = overFigure(rerun!, look)
    const left = leftOverFigure(rerun!, look)
    expect(over.curves.find(({ name }) => name === 'measured')!.x).toHaveLength(rerun!.atMarks.t_s.length)
    for (const { x, y } of [...over.curves, ...left.curves]) expect([...x, ...y].every(Number.isFinite)).toBe(true)
    const { measured_m, simulated_m } = rerun!.atMarks
    expect(left.curves[0]!.y[10]).toBeCloseTo(1000 * (measured_m[10]! - simulated_m[10]!), 3)
  })

  test('says how runs scatter only where there are several', () => {
    const reruns = resimulateLane(demo, sourceBookOf(demo), results[0]!).filter((one) => one.kind === 'resimulated')
    expect(scatterSentence(reruns)).toMatch(/^Over 5 runs .* from [−+]0\.\d\d % to \+0\.\d\d % run by run\./)
    expect(scatterSentence(reruns.slice(0, 1))).toBeNull()
  })
})

describe('marks from a table', () => {
  test('the exported marks give the runs of the record the same marks: the record is as it was', () => {
    const plan = planImport(demo, sheet, file, choicesFor(sheet), newId)
    if (plan.kind !== 'plan') throw new Error(plan.why)
    expect([plan.add.length, plan.replace.length, plan.rejected.length]).toEqual([0, Object.keys(demo.runs).length, 0])
    const emptied = structuredClone(demo)
    for (const run of Object.values(emptied.runs))
      run.marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
    carryOut(emptied, plan)
    expect(emptied).toEqual(demo)
  })

  test('knows how many runs the record has by name', () => {
    expect(knownByName(demo, sheet, proposeColumns(sheet))).toBe(Object.keys(demo.runs).length)
    const foreign = readTable('frame,x,y\n1,2,3\n2,4,5\n')
    expect(knownByName(demo, foreign, proposeColumns(foreign))).toBe(0)
  })

  test('a row that cannot be used is named with its line; without lane and ball a foreign run goes nowhere', () => {
    const foreign = readTable('frame,x_px,y_px\n10,100,50\n11,what,50\n12,120,50\n')
    const run = Object.values(demo.runs)[0]!
    const { laneId, mountingId, finishId, ballId, direction } = run
    const target = { laneId, mountingId, finishId, ballId, direction }
    const plan = planImport(demo, foreign, file, { ...choicesFor(foreign), target }, newId)
    if (plan.kind !== 'plan') throw new Error(plan.why)
    expect(plan.rejected.map(({ line }) => line)).toEqual([3])
    expect(plan.add.flatMap(({ runs }) => runs.map(({ marks }) => marks.frame))).toEqual([[10, 12]])
    const nowhere = planImport(demo, foreign, file, choicesFor(foreign), newId)
    expect(nowhere.kind === 'no-plan' && nowhere.why).toContain('need a lane')
  })
})

test('a title with quotes, breaks and brackets stays one CSS string', () => {
  expect(cssString('a "b" \\ c\n<d')).toBe('"a \\"b\\" \\\\ c \\3c d"')
})
