import { schemaVersion, type SlowlaneRecord } from './schema/record.ts'

/** Standard gravity [m/s²], exact by definition (3rd CGPM, 1901). */
export const standardGravity_m_s2 = 9.80665

/** An empty record. `id` and `createdAt` are handed in: this room has no clock and no chance. */
export function emptyRecord(id: string, title: string, createdAt: string): SlowlaneRecord {
  return {
    schema: schemaVersion,
    id,
    title,
    createdAt,
    clips: {},
    views: {},
    lanes: {},
    mountings: {},
    balls: {},
    finishes: {},
    runs: {},
    trials: {},
    sources: {
      // Between equator and pole at sea level g runs from 9.780 to 9.832 (WGS84): ± 0.026 covers all of it.
      gravity: {
        id: 'gravity',
        name: 'gravity at this place',
        unit: 'm/s2',
        distribution: { kind: 'rectangular', half: 0.026 },
        basis: 'standard gravity; the place on Earth was not given',
        unknown: true,
      },
    },
    settings: {
      gravity: { g_m_s2: { value: standardGravity_m_s2, sources: ['gravity'] } },
      coverage: 0.95,
      slopeUnit: 'deg',
      click_px: 0.5,
      placing_px: 0.3,
      matters: { crr: 0.001, exitSpeed_m_s: 0.02 },
      reliability: { share: 0.99, confidence: 0.95 },
      models: {},
    },
  }
}
