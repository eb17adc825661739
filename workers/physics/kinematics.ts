import * as maths from '../elementary/maths.ts'

/** Position [m] and speed [m/s] of a ball at one moment, and whether it has come to rest. */
export interface Motion {
  readonly s_m: number
  readonly v_m_s: number
  readonly atRest: boolean
}

/** When [s] and where [m] a ball that slows down comes to rest, counted from the start. */
export interface Stop {
  readonly time_s: number
  readonly way_m: number
}

/** Basis of motion under a = a₀ − r·v: s = v₀·fromSpeed + a₀·fromPush, v = v₀·decay + a₀·fromSpeed.
 *
 *  fromSpeed = (1 − e^{−rt})/r, fromPush = (t − fromSpeed)/r, decay = e^{−rt}; `byRate…` are the derivatives by r. Exact for
 *  any rate r [1/s], 0 included, where they are t, t²/2, 1, −t²/2 and −t³/6.
 *  Source: the linear equation of motion, solved. */
export function linearDragBasis(
  t_s: number,
  rate_per_s: number,
): {
  readonly decay: number
  readonly fromSpeed: number
  readonly fromPush: number
  readonly byRateOfSpeed: number
  readonly byRateOfPush: number
} {
  const x = rate_per_s * t_s
  const { first, second, third } = exponentialParts(x)
  const fromSpeed = t_s * first
  const fromPush = t_s * t_s * second
  // d/dr of (1 − e^{−x})/x·t and (x − 1 + e^{−x})/x²·t², each written without a difference of near equals.
  return {
    decay: maths.exp(-x),
    fromSpeed,
    fromPush,
    byRateOfSpeed: t_s * t_s * (second - first),
    byRateOfPush: maths.pow(t_s, 3) * (2 * third - second),
  }
}

/** Motion under a = a₀ − r·v from speed v₀; a ball that only slows down stays where it stopped. `push_m_s2` is a₀: positive
 *  for an approach to the terminal speed a₀/r, negative for dry friction beside the speed-proportional part. */
export function speedProportional(t_s: number, v0_m_s: number, push_m_s2: number, rate_per_s: number): Motion {
  const stop = speedProportionalStop(v0_m_s, push_m_s2, rate_per_s)
  if (stop !== null && t_s >= stop.time_s) return { s_m: stop.way_m, v_m_s: 0, atRest: true }
  const { decay, fromSpeed, fromPush } = linearDragBasis(t_s, rate_per_s)
  return {
    s_m: v0_m_s * fromSpeed + push_m_s2 * fromPush,
    v_m_s: v0_m_s * decay + push_m_s2 * fromSpeed,
    atRest: false,
  }
}

/** Where a ball moving forward at v₀ > 0 against dry friction A = −a₀ > 0 and a part r·v stops; null when it never does.
 *  t = ln(1 + v₀r/A)/r, S = v₀/r − A·t/r. */
export function speedProportionalStop(v0_m_s: number, push_m_s2: number, rate_per_s: number): Stop | null {
  const dry = -push_m_s2
  if (!(v0_m_s >= 0 && dry > 0)) return null
  const ratio = (v0_m_s * rate_per_s) / dry
  if (ratio <= -1) return null
  const time_s = (v0_m_s / dry) * logOver(ratio)
  const { fromSpeed, fromPush } = linearDragBasis(time_s, rate_per_s)
  return { time_s, way_m: v0_m_s * fromSpeed - dry * fromPush }
}

/** Motion under a = a₀ − β·v² from speed v₀ ≥ 0, β ≥ 0 [1/m]; a ball that only slows down stays where it stopped.
 *
 *  With S(t) = sinh(ωt)/ω (a₀ > 0), t (a₀ = 0) or sin(ωt)/ω (a₀ < 0), ω² = |a₀|β, and C its derivative:
 *  v = (a₀S + v₀C)/(C + βv₀S), s = ln(C + βv₀S)/β. Source: Riccati's equation of motion, solved. */
export function speedSquared(t_s: number, v0_m_s: number, push_m_s2: number, drag_per_m: number): Motion {
  if (!(drag_per_m >= 0)) throw new RangeError(`A drag of ${drag_per_m} per metre would push.`)
  const stop = speedSquaredStop(v0_m_s, push_m_s2, drag_per_m)
  if (stop !== null && t_s >= stop.time_s) return { s_m: stop.way_m, v_m_s: 0, atRest: true }
  const square = push_m_s2 * drag_per_m
  const root = Math.sqrt(Math.abs(square))
  if (square > 0 && root * t_s > 300) {
    // Far beyond the approach: terminal speed, with the logarithm of the hyperbolic functions taken by hand.
    const terminal = Math.sqrt(push_m_s2 / drag_per_m)
    const s_m = (root * t_s - Math.LN2 + maths.log1p(v0_m_s / terminal)) / drag_per_m
    return { s_m, v_m_s: terminal, atRest: false }
  }
  const waveAt = (t: number): number => (square > 0 ? maths.sinh(root * t) : maths.sin(root * t)) / root
  const wave = root * t_s === 0 ? t_s : waveAt(t_s)
  const halfWave = root * t_s === 0 ? t_s / 2 : waveAt(t_s / 2)
  const slope = 1 + 2 * square * halfWave * halfWave
  // (C − 1)/β = 2a₀S(t/2)²: no difference of near equals as β goes to 0.
  const way = 2 * push_m_s2 * halfWave * halfWave + v0_m_s * wave
  return {
    s_m: way * logOver(drag_per_m * way),
    v_m_s: (push_m_s2 * wave + v0_m_s * slope) / (1 + drag_per_m * way),
    atRest: false,
  }
}

/** Where a ball moving forward at v₀ ≥ 0 stops under a = −A − βv², A = −a₀ > 0; null when it never does.
 *  t = arctan(v₀√(β/A))/√(Aβ), S = ln(1 + βv₀²/A)/(2β). */
export function speedSquaredStop(v0_m_s: number, push_m_s2: number, drag_per_m: number): Stop | null {
  const dry = -push_m_s2
  if (!(v0_m_s >= 0 && dry > 0 && drag_per_m >= 0)) return null
  const root = Math.sqrt(dry * drag_per_m)
  const time_s = root === 0 ? v0_m_s / dry : maths.atan((v0_m_s * root) / dry) / root
  const simple = v0_m_s ** 2 / (2 * dry)
  return { time_s, way_m: simple * logOver(2 * drag_per_m * simple) }
}

/** Motion under constant acceleration from v₀; with `stops` a ball that slows down stays where it stopped (a lane where it
 *  does not roll back). */
export function constantAcceleration(t_s: number, v0_m_s: number, a_m_s2: number, stops = false): Motion {
  if (stops && a_m_s2 < 0 && v0_m_s >= 0 && t_s >= -v0_m_s / a_m_s2)
    return { s_m: v0_m_s ** 2 / (-2 * a_m_s2), v_m_s: 0, atRest: true }
  return { s_m: v0_m_s * t_s + (a_m_s2 * t_s * t_s) / 2, v_m_s: v0_m_s + a_m_s2 * t_s, atRest: false }
}

/** ln(1 + x)/x, 1 at x = 0. */
function logOver(x: number): number {
  return x === 0 ? 1 : maths.log1p(x) / x
}

/** (1 − e^{−x})/x, (x − 1 + e^{−x})/x² and (x²/2 − x + 1 − e^{−x})/x³: by series near 0, where the closed forms cancel. */
function exponentialParts(x: number): { readonly first: number; readonly second: number; readonly third: number } {
  if (Math.abs(x) < 1) {
    // third = Σ (−x)ⁿ/(n + 3)!; the others follow from it by adding, which loses nothing.
    let term = 1 / 6
    let third = term
    for (let n = 4; n < 24; n++) {
      term *= -x / n
      third += term
    }
    const second = 0.5 - x * third
    return { first: 1 - x * second, second, third }
  }
  const first = -maths.expm1(-x) / x
  const second = (1 - first) / x
  return { first, second, third: (0.5 - second) / x }
}
