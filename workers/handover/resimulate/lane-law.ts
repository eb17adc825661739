import type { LaneFriction } from '../simulators/lane-friction.ts'
import type { LawStretch, RollingLaw } from './integrate.ts'

/** Which resistance along the lane: one for all of it, or piece by piece where the marks told it so. */
export type Along = 'one-value' | 'piece-by-piece'

/** The law of motion that the handed-over values state, along the travel; null where slope, resistance or inertia factor is missing. */
export function laneLaw(friction: LaneFriction, along: Along = 'one-value'): RollingLaw | null {
  const { law, slope, k, gravity, slopes, travel } = friction
  if (!law || !slope || !k) return null
  const resistances = along === 'piece-by-piece' ? piecesOf(friction) : null
  const borders: number[] = []
  if (slopes?.along) borders.push(...slopes.along.from_m.slice(1))
  if (resistances) borders.push(...resistances.slice(1).map(({ from_m }) => from_m))
  const places = [...new Set(borders.map((place) => travel * place))].sort((a, b) => a - b)
  const slopeIn = (line_m: number): number => {
    if (!slopes?.along) return slope.value
    const { from_m, slope_rad } = slopes.along
    let i = 0
    while (i + 1 < from_m.length && from_m[i + 1]! <= line_m) i++
    return travel * slope_rad[i]!
  }
  const resistanceIn = (line_m: number): number => {
    if (!resistances) return law.dry.value
    return (resistances.findLast(({ from_m }) => from_m <= line_m) ?? resistances[0]!).crr
  }
  const stretches = [...places, Infinity].map((until_m, i): LawStretch => {
    const from = i === 0 ? (places[0] ?? 0) - 1 : places[i - 1]!
    // The middle of the stretch lies within one slope and one piece.
    const middle = travel * (Number.isFinite(until_m) ? (from + until_m) / 2 : from + 1)
    return { until_m, slope_rad: slopeIn(middle), resistance: resistanceIn(middle) }
  })
  const isLocal = resistances !== null
  return {
    g_m_s2: gravity.value,
    stretches,
    // Pieces hold the whole resistance at the speeds that were filmed there.
    rate_per_s: isLocal ? 0 : (law.rate?.value ?? 0),
    drag_per_m: isLocal ? 0 : law.drag_per_m,
    k: k.value,
  }
}

/** C_rr of the pieces of the lane, in the order of the lane line; null where the marks do not give them or one would push. */
function piecesOf({ series }: LaneFriction): readonly { readonly from_m: number; readonly crr: number }[] | null {
  const pieces = series?.local?.pieces ?? []
  const found = pieces.flatMap(({ from_m, crr }) => (crr && crr.value >= 0 ? [{ from_m, crr: crr.value }] : []))
  return found.length > 0 && found.length === pieces.length ? found : null
}
