import { emptyRecord, type Guide, type SlowlaneRecord } from '../../workers/record/index.ts'
import { Statements } from './sources.ts'

const degree = Math.PI / 180
const mm = 1e-3

/** What the maker of the foyer clock says of lanes, balls and finishes: everything of the demo record that no clip tells. */
export function scenario(): { readonly record: SlowlaneRecord; readonly say: Statements } {
  const record = emptyRecord('foyer-clock', 'Foyer clock, return lanes', '2026-05-14T09:30:00Z')
  record.note =
    'Return lanes of the rolling-ball clock for the library foyer, tried on the test stand. Invented for the demo.'
  const say = new Statements(record)
  const straightedge = 'steel straightedge and feeler gauge between the supports'
  const template = 'cutter’s template'
  const groove = (key: string, included_deg: number): Guide => ({
    kind: 'v-groove',
    included_rad: say.within(
      `groove-${key}`,
      `groove angle of lane ${key}`,
      included_deg * degree,
      0.5 * degree,
      'rad',
      template,
    ),
  })
  const lanes = [
    { key: 'A', name: 'hour return', included_deg: 90, slope_deg: 1.8 },
    { key: 'B', name: 'minute return', included_deg: 100, slope_deg: 2.3 },
    { key: 'C', name: 'lift feeder', included_deg: 110, slope_deg: 1.15 },
  ] as const
  for (const { key, name, included_deg, slope_deg } of lanes) {
    const id = `lane-${key.toLowerCase()}`
    record.lanes[id] = {
      id,
      key,
      name,
      guide: groove(key, included_deg),
      supports: [
        {
          id: 'upper',
          name: 'upper post',
          at_m: say.within(`upper-${key}`, `upper support of lane ${key}`, 0.085, 1 * mm, 'm', 'rule'),
        },
        {
          id: 'lower',
          name: 'lower post',
          at_m: say.within(`lower-${key}`, `lower support of lane ${key}`, 0.585, 1 * mm, 'm', 'rule'),
        },
      ],
    }
    record.mountings[`stand-${key.toLowerCase()}`] = {
      id: `stand-${key.toLowerCase()}`,
      laneId: id,
      name: 'on the test stand',
      slope: {
        kind: 'angle',
        angle_rad: say.within(
          `slope-${key}`,
          `slope of lane ${key}`,
          slope_deg * degree,
          0.05 * degree,
          'rad',
          straightedge,
        ),
      },
      entered: `${slope_deg}°`,
    }
  }
  const balls = [
    { id: 'steel-16', name: '16 mm steel', diameter: 16, material: 'steel', density: 7830 },
    { id: 'blue-18', name: '18 mm resin, blue', diameter: 18, material: 'resin', density: 1700 },
    { id: 'red-19', name: '19 mm resin, red', diameter: 19, material: 'resin', density: 1700 },
  ]
  for (const { id, name, diameter, material, density } of balls)
    record.balls[id] = {
      id,
      name,
      material,
      diameter_m: say.within(`${id}-size`, `diameter of the ${name} ball`, diameter * mm, 0.02 * mm, 'm', 'calliper'),
      density_kg_m3: say.within(`${id}-density`, `density of the ${name} ball`, density, 20, 'kg/m3', 'weighed'),
    }
  record.finishes['as-cut'] = { id: 'as-cut', name: 'as cut', order: 1 }
  record.finishes['sanded-400'] = {
    id: 'sanded-400',
    name: 'sanded 400',
    note: 'sanded in place, lanes not taken off the stand',
    order: 2,
  }
  record.settings.matters = { crr: 0.0005, exitSpeed_m_s: 0.02 }
  record.settings.gentleExit_m_s = 0.45
  const on = '2026-05-14'
  const counted = (id: string, key: string, finishId: string, passages: number, stalls: number) => {
    record.trials[id] = {
      kind: 'passages',
      id,
      laneId: `lane-${key}`,
      mountingId: `stand-${key}`,
      finishId,
      ballId: null,
      passages,
      stalls,
      on,
    }
  }
  counted('counted-a', 'a', 'sanded-400', 200, 0)
  counted('counted-c-cut', 'c', 'as-cut', 60, 2)
  counted('counted-c', 'c', 'sanded-400', 60, 0)
  record.trials['starts-c'] = {
    kind: 'start-angles',
    id: 'starts-c',
    laneId: 'lane-c',
    mountingId: null,
    finishId: 'sanded-400',
    ballId: 'red-19',
    angles_rad: [0.69, 0.77, 0.68, 0.81, 0.73, 0.75, 0.72, 0.79].map((angle) => angle * degree),
    on,
  }
  return { record, say }
}
