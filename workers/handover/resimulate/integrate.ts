import * as maths from '../../elementary/maths.ts'

/** What acts on a ball along a lane, told along its travel: places and speeds [m, m/s] grow the way it set off. */
export interface RollingLaw {
  readonly g_m_s2: number
  /** Stretches in the order of the travel, the last one without end: slope [rad], positive downhill, and dry resistance. */
  readonly stretches: readonly LawStretch[]
  /** Deceleration per speed [1/s], and per its square [1/m]. */
  readonly rate_per_s: number
  readonly drag_per_m: number
  /** Inertia factor; or, where the guide changes along the lane, what it is at a place. */
  readonly k:
    number | ((s_m: number) => { readonly k: number; readonly kGrowth_per_m: number; readonly addedSlope_rad: number })
}

export interface LawStretch {
  readonly until_m: number
  readonly slope_rad: number
  readonly resistance: number
}

export interface RollingState {
  readonly t_s: number
  readonly s_m: number
  readonly v_m_s: number
}

/** How the rolling ends. `rests`: slope and resistance hold the ball. `turns-back`: it stops and would roll back. */
export type RollingEnd = 'reaches' | 'rests' | 'turns-back' | 'time-up'

export interface Rolled {
  readonly t_s: readonly number[]
  readonly s_m: readonly number[]
  readonly v_m_s: readonly number[]
  readonly end: RollingEnd
}

export interface RollingLimits {
  readonly until_m: number
  /** Longest time that is followed [s]; an hour where absent. */
  readonly longest_s?: number
  /** Time between two steps; 2 ms where absent. Steps end on borders of stretches besides. */
  readonly step_s?: number
}

/** Rounding of places: closer than this to a border is on it. */
const onBorder_m = 1e-12

/**
 * Integrates the motion with the classical Runge–Kutta method of fourth order; a step that would cross the border of a stretch, the end or speed zero is
 * cut there. Dry resistance holds a ball that stands wherever it is not smaller than the slope. Throws for a start that rolls backwards.
 */
export function roll(law: RollingLaw, start: RollingState, limits: RollingLimits): Rolled {
  if (!(start.v_m_s >= 0)) throw new RangeError(`A ball that sets off at ${start.v_m_s} m/s rolls against its travel.`)
  const { until_m, longest_s = 3600, step_s = 0.002 } = limits
  const [t_s, s_m, v_m_s] = [[start.t_s], [start.s_m], [start.v_m_s]]
  let now = start
  let stretch = 0
  const done = (end: RollingEnd): Rolled => ({ t_s, s_m, v_m_s, end })
  for (;;) {
    if (now.s_m >= until_m - onBorder_m) return done('reaches')
    if (now.t_s - start.t_s >= longest_s) return done('time-up')
    while (stretch + 1 < law.stretches.length && now.s_m >= law.stretches[stretch]!.until_m - onBorder_m) stretch++
    const here = law.stretches[stretch]!
    if (now.v_m_s === 0) {
      const pull = driving(law, here, now.s_m)
      if (Math.abs(pull) <= here.resistance * holding(law, here, now.s_m)) return done('rests')
      if (pull < 0) return done('turns-back')
    }
    const border = Math.min(until_m, stretch + 1 < law.stretches.length ? here.until_m : Infinity)
    const next = cutStep(law, here, now, step_s, border)
    if (!(next.t_s > now.t_s)) return done('rests')
    t_s.push(next.t_s)
    s_m.push(next.s_m)
    v_m_s.push(next.v_m_s)
    now = next
  }
}

/** Gravity along the path and across it [m/s²]. */
const driving = (law: RollingLaw, { slope_rad }: LawStretch, s_m: number): number =>
  law.g_m_s2 * maths.sin(slope_rad + factorAt(law, s_m).addedSlope_rad)
const holding = (law: RollingLaw, { slope_rad }: LawStretch, s_m: number): number =>
  law.g_m_s2 * maths.cos(slope_rad + factorAt(law, s_m).addedSlope_rad)

function factorAt({ k }: RollingLaw, s_m: number) {
  return typeof k === 'number' ? { k, kGrowth_per_m: 0, addedSlope_rad: 0 } : k(s_m)
}

/** Acceleration of a ball that rolls forward: k·a = g(sin θ − c·cos θ) − ½v²·dk/ds, then what grows with speed.
 *  Source: time derivative of ½k·v² along the path. */
function acceleration(law: RollingLaw, stretch: LawStretch, s_m: number, v_m_s: number): number {
  const { k, kGrowth_per_m } = factorAt(law, s_m)
  const dry = driving(law, stretch, s_m) - stretch.resistance * holding(law, stretch, s_m)
  return (dry - (v_m_s ** 2 * kGrowth_per_m) / 2) / k - law.rate_per_s * v_m_s - law.drag_per_m * v_m_s ** 2
}

function step(law: RollingLaw, stretch: LawStretch, { t_s, s_m, v_m_s }: RollingState, h: number): RollingState {
  const a = (s: number, v: number) => acceleration(law, stretch, s, v)
  const v1 = v_m_s
  const a1 = a(s_m, v1)
  const v2 = v_m_s + (h / 2) * a1
  const a2 = a(s_m + (h / 2) * v1, v2)
  const v3 = v_m_s + (h / 2) * a2
  const a3 = a(s_m + (h / 2) * v2, v3)
  const v4 = v_m_s + h * a3
  const a4 = a(s_m + h * v3, v4)
  return {
    t_s: t_s + h,
    s_m: s_m + (h / 6) * (v1 + 2 * v2 + 2 * v3 + v4),
    v_m_s: v_m_s + (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4),
  }
}

/** One step, or the part of it up to where the ball stops or meets the border. */
function cutStep(law: RollingLaw, stretch: LawStretch, now: RollingState, h: number, border_m: number): RollingState {
  const full = step(law, stretch, now, h)
  const isSlowing = (part: number) => step(law, stretch, now, part).v_m_s <= 0
  const isBeyond = (part: number) => step(law, stretch, now, part).s_m >= border_m
  // A ball that sets off from rest has no speed yet: it is not stopping.
  const stops = full.v_m_s <= 0 && now.v_m_s > 0
  const reach = stops ? firstPart(isSlowing, h) : h
  if (step(law, stretch, now, reach).s_m >= border_m) {
    const part = firstPart(isBeyond, reach)
    return { ...step(law, stretch, now, part), s_m: border_m }
  }
  return stops ? { ...step(law, stretch, now, reach), v_m_s: 0 } : full
}

/** Where between 0 and h something becomes true, by halving down to the last bits. */
function firstPart(isTrue: (part: number) => boolean, h: number): number {
  let [low, high] = [0, h]
  for (let i = 0; i < 60 && high - low > 1e-15; i++) {
    const middle = (low + high) / 2
    if (isTrue(middle)) high = middle
    else low = middle
  }
  return high
}

/** Place and speed at a time, between steps by the cubic that has their places and speeds; before the start and after the end those there. */
export function stateAtTime(
  { t_s, s_m, v_m_s }: Rolled,
  time_s: number,
): { readonly s_m: number; readonly v_m_s: number } {
  const last = t_s.length - 1
  if (time_s <= t_s[0]!) return { s_m: s_m[0]!, v_m_s: v_m_s[0]! }
  if (time_s >= t_s[last]!) return { s_m: s_m[last]!, v_m_s: v_m_s[last]! }
  let [low, high] = [0, last]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (t_s[middle]! <= time_s) low = middle
    else high = middle
  }
  const h = t_s[high]! - t_s[low]!
  const x = (time_s - t_s[low]!) / h
  const [s0, s1, v0, v1] = [s_m[low]!, s_m[high]!, v_m_s[low]! * h, v_m_s[high]! * h]
  const [c, d] = [3 * (s1 - s0) - 2 * v0 - v1, v0 + v1 - 2 * (s1 - s0)]
  return { s_m: s0 + x * (v0 + x * (c + x * d)), v_m_s: (v0 + x * (2 * c + 3 * d * x)) / h }
}

/** When the ball passes a place [s]; null where it never is there. */
export function timeOfPlace(rolled: Rolled, place_m: number): number | null {
  const { t_s, s_m } = rolled
  const after = s_m.findIndex((s) => s >= place_m)
  if (after === -1) return null
  if (after === 0) return s_m[0] === place_m ? t_s[0]! : null
  let [low, high] = [t_s[after - 1]!, t_s[after]!]
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (stateAtTime(rolled, middle).s_m >= place_m) high = middle
    else low = middle
  }
  return high
}

/** Time and end speed of a motion between two places under a law; null where the ball does not get there. */
export function transitUnder(
  law: RollingLaw,
  from_m: number,
  to_m: number,
  entry_m_s: number,
): { readonly time_s: number; readonly exit_m_s: number } | null {
  const rolled = roll(law, { t_s: 0, s_m: from_m, v_m_s: entry_m_s }, { until_m: to_m })
  if (rolled.end !== 'reaches') return null
  return { time_s: rolled.t_s[rolled.t_s.length - 1]!, exit_m_s: rolled.v_m_s[rolled.v_m_s.length - 1]! }
}
