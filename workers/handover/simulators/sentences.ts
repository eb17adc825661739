import { plain, plusMinus } from '../../decide/figures.ts'
import { whyItDoesNotRide } from '../../physics/sentences.ts'
import type { Rides } from '../../physics/rolling-geometry.ts'
import type { Estimate } from '../../record/index.ts'
import type { LaneFriction } from './lane-friction.ts'

/** Why there is no friction to hand over, with what to do. */
export function whyNoFriction(f: LaneFriction): string {
  if (!f.series) return `${whyNoMotion(f)} ${f.problems.join(' ')}`.trim()
  const riding = whyNoGuide(f)
  if (riding !== null) return riding
  if (f.standing === 'impossible' && f.crr)
    return `C_rr comes out below zero by more than its ± (${plusMinus(f.crr.value, f.crr.U)}): no friction does this. Check filming rate, slope, guide and scale before handing anything over.`
  if (!f.crr || !f.slope)
    return `The slope of ${f.name} is not known, so its motion cannot be split into slope and friction. Type the slope in Lanes, or film runs the other way as well. The measured acceleration can be handed over as it is.`
  return `${f.name} has no C_rr yet. ${f.problems.join(' ')}`.trim()
}

export function whyNoMotion(f: LaneFriction): string {
  return `${capital(f.name)} has no run that could be fitted. Mark a run, or see Results for what is missing.`
}

/** Why the guide gives no rolling radius; null where it does. */
export function whyNoGuide(f: LaneFriction): string | null {
  if (!f.body || !f.riding)
    return `No ball is named for ${f.name}, so its rolling radius is not known. Choose the ball in Lanes.`
  return f.riding.kind === 'rides' ? null : `The ball cannot ride on this guide. ${whyItDoesNotRide(f.riding)}`
}

export const noMass = (what: string): string =>
  `The mass of the ball is not known, and ${what} needs it. Weigh the ball, or enter its density, in Lanes.`

/** What narrows every form that rests on C_rr, whatever the engine; empty where nothing does. */
export function narrowing(f: LaneFriction): readonly string[] {
  const { crr, standing } = f
  if (!crr) return []
  const shown = plusMinus(crr.value, crr.U)
  if (standing === 'not-clear-of-zero')
    return [
      `C_rr = ${shown} is not clear of zero: all that is sure is that it lies below ${plain(crr.interval[1], 2)}. Try the simulation with 0 and with that value too.`,
    ]
  if (standing === 'below-zero')
    return [
      `C_rr comes out below zero within its ± (${shown}); a negative friction would push the ball, so 0 is handed over, and ${plain(crr.interval[1], 2)} as the most it can be.`,
    ]
  return []
}

/** Why one coefficient does not tell the whole motion; null where it does. */
export function speedSentence(f: LaneFriction): string | null {
  const { law } = f
  if (law?.rate)
    return `Resistance grows with speed on this lane (${plusMinus(law.rate.value, law.rate.U)} per second). One number is its equivalent over ${speedRange(f)} only; the drag at the centre carries both parts.`
  if (law && law.drag_per_m > 0)
    return `Air takes a part that grows with the square of the speed. One number is its equivalent over ${speedRange(f)} only; the drag at the centre carries both parts.`
  return null
}

export const slopesSentence =
  'The slope changes along this lane; the file holds one straight lane of the mean slope, so speeds in between differ from the measured ones.'

/** Where and for what the numbers hold. */
export function holdsFor(f: LaneFriction): string {
  return `It holds for this ball and guide${f.speeds_m_s ? `, from ${speedRange(f)}` : ''}; other balls and faster runs need runs of their own.`
}

export function speedRange({ speeds_m_s }: LaneFriction): string {
  if (!speeds_m_s) return 'no speeds'
  return `${plain(speeds_m_s[0], 2)} to ${plain(speeds_m_s[1], 2)} m/s`
}

/** What an engine's contact friction does in a guide with two contacts. */
export function twoContacts(geometry: Rides, form: string): string {
  const more = plain(100 * (geometry.normalForceSum - 1), 2)
  return `The ball rides on two contacts, which press ${more} % harder than its weight and turn it about axes that lean. Rolling friction that an engine works out contact by contact comes out wrong here, by a few per cent in a wide groove up to double or a ball that sticks in a narrow one. Use ${form} instead.`
}

export const leavesContactAlone =
  'Set the engine’s own rolling friction and damping of ball and lane to 0, or the resistance counts twice.'

/** How far a damping that was matched at one speed misses. */
export function dampingMiss(miss: { readonly time: number; readonly speed: number } | null, at_m_s: number): string {
  const never = 'Damping fades with speed: it can neither hold a resting ball nor stall one on a low slope.'
  const matched = `Matched at ${plain(at_m_s)} m/s, the mean speed over the way.`
  if (!miss) return `${matched} ${never}`
  return `${matched} From entry to exit the time comes out ${offBy(miss.time)} and the exit speed ${offBy(miss.speed)}. ${never}`
}

const offBy = (ratio: number): string => {
  const percent = 100 * (ratio - 1)
  if (Math.abs(percent) < 0.005) return 'right within 0.01 %'
  return `${plain(Math.abs(percent), 2)} % too ${percent > 0 ? 'great' : 'small'}`
}

/** A value with its ± for a comment in a file; an exact one by itself. */
export function stated({ value, U }: Pick<Estimate, 'value' | 'U'>, unit: string): string {
  return plusMinus(value, U, 1, unit)
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
