import { laneResults, type SlowSpot } from '../../workers/fit/index.ts'
import type { Random } from '../../workers/fit/numerics/random.ts'
import { RecordBuilder, standardCamera } from './record-builder.ts'

/**
 * A level metre of lane rolled five times from 0.3 to 0.6 m/s, every frame of 240 a second marked to 0.3 mm, clean or with one tenth of it resisting more:
 * the spots that are named.
 */
export function slowSpotTrial(
  random: Random,
  spot: { readonly piece: number; readonly crr: number } | null,
): readonly SlowSpot[] {
  const mPerPx = 0.0009
  const camera = { ...standardCamera, mPerPx, lookX_m: 0.52, distance_m: 1.5, pitch_rad: 0 }
  const builder = new RecordBuilder({
    camera,
    placing_px: 1e-6,
    rectangle: { width: { value: 0.9, sources: [] }, height: { value: 0.3, sources: [] }, x_m: 0.07, z_m: 0.05 },
    edit: (view) => (view.lens = { kind: 'typed', k1: { value: 0, sources: [] } }),
  })
  const k = 1.4
  const slope_rad = 0.0243
  builder.lane('A', { guide: { kind: 'flat' }, length_m: 1, slope_rad })
  const crr = 0.005
  for (let i = 0; i < 5; i++) {
    const s = rolled((place) => {
      const more = spot && place >= spot.piece / 10 && place < (spot.piece + 1) / 10 ? spot.crr : 0
      return (9.80665 * (Math.sin(slope_rad) - (crr + more) * Math.cos(slope_rad))) / k
    })
    builder.run({
      s: s.at,
      to: Math.floor(240 * s.end_s),
      every: 1,
      noise_px: () => [(0.0003 / mPerPx) * random.normal(), 0],
      sigma_px: 0.0003 / mPerPx,
    })
  }
  return laneResults(builder.record)[0]?.series[0]?.local?.slowSpots ?? []
}

/** A ball from 0 at 0.3 m/s until it has gone a metre; the midpoint rule in steps of 0.2 ms. */
function rolled(acceleration: (s_m: number) => number): { at: (t_s: number) => number; end_s: number } {
  const h = 0.0002
  const path = [0]
  let [s, v] = [0, 0.3]
  while (s < 1) {
    const a = acceleration(s + (v * h) / 2)
    s += v * h + (a * h * h) / 2
    v += a * h
    path.push(s)
  }
  return {
    at: (t) => {
      const i = Math.min(Math.floor(t / h), path.length - 2)
      return path[i]! + (t / h - i) * (path[i + 1]! - path[i]!)
    },
    end_s: (path.length - 2) * h,
  }
}
