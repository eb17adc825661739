/** Standard gravity [m/s²], exact by definition (3rd CGPM, 1901). */
export const standardGravity = 9.80665

/** How a ball is pushed and held back along its path. */
export interface RollingLaw {
  slope_rad(s_m: number): number
  /** Resistance coefficient at s: dry part, with slow spots. */
  resistance(s_m: number): number
  readonly k: number
  /** Time constant of the part that grows with speed [s]; Infinity switches it off. */
  readonly tau_s: number
}

export interface SlowSpot {
  readonly at_m: number
  readonly sd_m: number
  readonly added_c: number
}

/** c(s): the lane's coefficient with Gaussian slow spots on top. */
export function resistanceAlong(c0: number, spots: readonly SlowSpot[]): (s_m: number) => number {
  return (s) =>
    spots.reduce((sum, spot) => sum + spot.added_c * Math.exp(-0.5 * ((s - spot.at_m) / spot.sd_m) ** 2), c0)
}

/** Acceleration [m/s²] at s for speed v; `towards` (±1) is the direction of motion, which the dry part opposes.
 *  a = [g (sin θ − c cos θ)] / k − v / τ for a ball going downhill. */
export function acceleration(law: RollingLaw, s_m: number, v_m_s: number, towards: 1 | -1): number {
  const slope = law.slope_rad(s_m)
  const dry = towards * law.resistance(s_m) * Math.cos(slope)
  return (standardGravity * (Math.sin(slope) - dry)) / law.k - v_m_s / law.tau_s
}

export interface MotionState {
  readonly s_m: number
  readonly v_m_s: number
}

/** A computed motion: state at any time from `start_s` on. Before that the ball rests at its start. */
export interface Motion {
  readonly start_s: number
  readonly end_s: number
  at(time_s: number): MotionState
}

/** Fine enough that the error of the whole run stays under a nanometre. */
const step_s = 1 / 2400

/** Integrates a run by the classical fourth-order Runge–Kutta method from `start`; ends at `until_s`.
 *  A ball that comes to rest starts back only where the slope beats the resistance; else it stays. */
export function integrate(law: RollingLaw, start_s: number, start: MotionState, until_s: number): Motion {
  const times: number[] = [start_s]
  const positions: number[] = [start.s_m]
  const speeds: number[] = [start.v_m_s]
  let t = start_s
  let s = start.s_m
  let v = start.v_m_s
  let towards: 1 | -1 | 0 = v > 0 ? 1 : v < 0 ? -1 : fromRest(law, s)
  while (t < until_s && towards !== 0) {
    const way = towards
    const next = rungeKutta(law, s, v, step_s, way)
    if (next.v_m_s * way >= 0) {
      t += step_s
      s = next.s_m
      v = next.v_m_s
    } else {
      // The turning point lies inside this step: go there exactly, then look which way it goes on.
      const a = acceleration(law, s, v, way)
      const part = Math.max(1e-9, Math.min(step_s, -v / a))
      s = rungeKutta(law, s, v, part, way).s_m
      t += part
      v = 0
      towards = fromRest(law, s)
    }
    times.push(t)
    positions.push(s)
    speeds.push(v)
  }
  return { start_s, end_s: Math.max(t, until_s), at: (time) => interpolate(times, positions, speeds, time) }
}

function fromRest(law: RollingLaw, s_m: number): 1 | -1 | 0 {
  if (acceleration(law, s_m, 0, 1) > 0) return 1
  if (acceleration(law, s_m, 0, -1) < 0) return -1
  return 0
}

function rungeKutta(law: RollingLaw, s: number, v: number, h: number, towards: 1 | -1): MotionState {
  const a1 = acceleration(law, s, v, towards)
  const a2 = acceleration(law, s + (h / 2) * v, v + (h / 2) * a1, towards)
  const a3 = acceleration(law, s + (h / 2) * (v + (h / 2) * a1), v + (h / 2) * a2, towards)
  const a4 = acceleration(law, s + h * (v + (h / 2) * a2), v + h * a3, towards)
  return {
    s_m: s + h * v + ((h * h) / 6) * (a1 + a2 + a3),
    v_m_s: v + (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4),
  }
}

/** Cubic Hermite between stored states. */
function interpolate(times: number[], positions: number[], speeds: number[], time: number): MotionState {
  const last = times.length - 1
  if (time < times[0]!) return { s_m: positions[0]!, v_m_s: 0 }
  if (time >= times[last]!)
    return { s_m: positions[last]! + speeds[last]! * (time - times[last]!), v_m_s: speeds[last]! }
  let low = 0
  let high = last
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (times[middle]! <= time) low = middle
    else high = middle
  }
  const h = times[high]! - times[low]!
  const f = (time - times[low]!) / h
  const [s0, s1, v0, v1] = [positions[low]!, positions[high]!, speeds[low]!, speeds[high]!]
  const s =
    (1 + 2 * f) * (1 - f) ** 2 * s0 + f * (1 - f) ** 2 * h * v0 + f * f * (3 - 2 * f) * s1 + f * f * (f - 1) * h * v1
  return { s_m: s, v_m_s: v0 + (v1 - v0) * f }
}
