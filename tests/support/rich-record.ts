import type { SlowlaneRecord } from '../../workers/record/index.ts'
import { RecordBuilder } from './record-builder.ts'

/** A record with something in every table and most of the optional fields. */
export function richRecord(): SlowlaneRecord {
  const { record } = new RecordBuilder()
    .lane('A')
    .lane('B')
    .finish('sanded', 1)
    .run({ lane: 'A', to: 60, s: (t) => 0.1 * t })
    .run({ lane: 'B', to: 60, s: (t) => 0.2 * t, finish: 'sanded', direction: 'up' })
  const source = {
    id: 'rule',
    name: 'steel rule',
    unit: 'm',
    distribution: { kind: 'rectangular', half: 0.0003 },
  } as const
  record.sources['rule'] = source
  record.trials['t'] = {
    kind: 'start-angles',
    id: 't',
    laneId: 'A',
    mountingId: null,
    finishId: 'cut',
    ballId: null,
    angles_rad: [0.01, 0.02],
  }
  record.views['view']!.gravity.push({
    id: 'g',
    kind: 'plumb',
    a: { x: 1, y: 1 },
    b: { x: 1, y: 300 },
    planeId: 'plane',
  })
  record.clips['clip']!.pieces = [{ fromFrame: 10, rate_hz: 240, uRelative: 0.001 }]
  record.clips['clip']!.filmedFrames = { every: 4, first: 1 }
  record.clips['clip']!.repeated = Array.from({ length: record.clips['clip']!.frames }, (_, i) => i).filter(
    (i) => i % 4 !== 1,
  )
  record.clips['clip']!.sha256 = 'ab'.repeat(32)
  record.settings.models = { 'A.cut': 'constant-acceleration' }
  record.settings.extra = { 'margin-note': 'kept', count: 3 }
  record.settings.gravity.g_m_s2 = { value: 9.81, sources: ['rule'] }
  return record
}
