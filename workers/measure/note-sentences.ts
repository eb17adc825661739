import * as maths from '../elementary/maths.ts'
import { assertNever } from '../record/index.ts'
import type { InventedReading } from './invented-frames.ts'
import type { BarCheck } from './plane-report.ts'
import type { RateFlag } from './rate-flags.ts'
import type { ViewAgreement } from './same-view.ts'
import type { ShakeProblem } from './shake-from-features.ts'
import type { SlopeReport } from './slope-report.ts'
import type { FeatureShift } from './still-feature.ts'
import type { StringReading } from './string-line.ts'
import type { OutsideRegion } from './trusted-region.ts'
import type { UncorrectedCost } from './uncorrected.ts'

const degrees = (rad: number) => `${number((rad * 180) / Math.PI)}°`
const mm = (metres: number) => `${number(metres * 1000)} mm`
const number = (value: number, digits = 3) => String(Number(value.toPrecision(digits)))
const signed = (value: number) => (value < 0 ? `−${number(-value, 2)}` : `+${number(value, 2)}`)

/** What speaks against a clip's time, and what to do. */
export function sentenceForRateFlag(flag: RateFlag): string {
  switch (flag.kind) {
    case 'tag-contradicts':
      return `The file says the camera filmed at ${number(flag.tag_hz)} frames per second, but ${number(flag.rate_hz)} is used. If the file is right, speeds are ${number(flag.factor)} times and accelerations ${number(flag.factor ** 2)} times what they should be.`
    case 'slower-than-file':
      return `${number(flag.rate_hz)} frames per second is slower than the file’s ${number(flag.file_hz)}: then the clip would play faster than life. Check the filming rate.`
    case 'uneven-but-even':
      return `${flag.uneven} of ${flag.frames} frames do not follow in an even rhythm, but frame numbers are used as time. Use the timestamps, unless you know that the camera kept an even pace.`
    case 'too-fast-for-slope': {
      const slip =
        flag.slip === null
          ? 'Check the filming rate, the slope and the scale.'
          : `A filming rate of 1/${flag.slip} of the one used would explain it: check it first, then the slope and the scale.`
      return `This ball gains ${number(flag.acceleration_m_s2)} m/s² where no ball can gain more than ${number(Math.max(0, flag.most_m_s2))} m/s². ${slip}`
    }
    default:
      return assertNever(flag)
  }
}

/** What the picture says about frames that were not filmed. */
export function sentenceForInvented(reading: InventedReading): string {
  switch (reading.kind) {
    case 'looks-real':
      return 'Neighbouring frames change as filmed frames do. Frames that a phone invented with great care can look like this too.'
    case 'repeats':
      return `Only every ${ordinal(reading.every)} frame is new; the others repeat it. They are left out.`
    case 'invented':
      return sentenceForFilmed(reading.every, reading.firstReal)
    case 'cannot-tell':
      return `Whether every frame was filmed cannot be told: the ball moves on ${reading.frames} frames only, ${reading.need} are needed.`
    default:
      return assertNever(reading)
  }
}

/** That only some frames of a clip were filmed, and what to do. */
export function sentenceForFilmed(every: number, first: number): string {
  return `Only every ${ordinal(every)} frame was filmed; those between were made from their neighbours. Their positions are no measurement: use only the filmed ones, from frame ${first} on, at a ${ordinal(every)} of the rate, or film without the phone’s slow-motion effect.`
}

function ordinal(n: number): string {
  return (
    ['', 'first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth', 'tenth'][n] ?? `${n}th`
  )
}

/** Whether two clips share a camera position, and what to do. */
export function sentenceForView(agreement: ViewAgreement): string {
  switch (agreement.kind) {
    case 'same':
      return `The still background agrees in ${agreement.agree} of ${agreement.of} places: the same camera position.`
    case 'moved':
      return `The background is the same, but it lies ${number(maths.hypot(agreement.dx, agreement.dy), 2)} px away: the camera was touched between the clips. Check the plane and the lane lines before using this set-up.`
    case 'different':
      return `The background agrees in only ${agreement.agree} of ${agreement.of} places: another camera position. It needs a set-up of its own.`
    case 'cannot-tell':
      return `Too little in the background stands out (${agreement.textured} places, ${agreement.need} are needed) to tell whether this is the same camera position.`
    case 'other-size':
      return `The pictures are of different size (${agreement.a.join(' × ')} and ${agreement.b.join(' × ')} px): not the same view.`
    default:
      return assertNever(agreement)
  }
}

/** Why shake cannot be taken out. */
export function sentenceForShake(problem: ShakeProblem | Exclude<FeatureShift, { kind: 'shift' }>): string {
  switch (problem.kind) {
    case 'features-too-few':
      return `${problem.have} still feature is marked; ${problem.need} are needed to tell shift and turn.`
    case 'features-lost':
      return `On frame ${problem.frame} fewer than two still features are seen. Mark others, which the balls do not pass.`
    case 'features-too-close':
      return `The still features lie within ${number(problem.px)} px of each other; ${problem.need} px are needed to tell a turn. Mark one farther away.`
    case 'feature-not-still':
      return `Feature ${problem.feature + 1} moves by ${number(problem.rms_px, 2)} px against the others: it is not still. Take it out.`
    case 'no-contrast':
      return 'This place could slide along itself: it has contrast in one direction only. Mark a corner or a spot.'
    case 'lost':
      return 'This feature is lost: something covers it, or it went too far at once.'
    default:
      return assertNever(problem)
  }
}

/** Why no string or edge was read. */
export function sentenceForString(problem: Exclude<StringReading, { kind: 'string' }>): string {
  switch (problem.kind) {
    case 'string-short':
      return `The line is ${number(problem.px)} px long; ${problem.need} are needed. Place its ends farther apart.`
    case 'string-not-seen':
      return `Nothing clear runs along this line: seen at ${problem.seen} of ${problem.of} places. Place both ends on the string, or keep the line as placed.`
    default:
      return assertNever(problem)
  }
}

const costNames: Readonly<Record<UncorrectedCost['kind'], (amount: number) => string>> = {
  yaw: (amount) => `A camera turned ${degrees(amount)} from square`,
  pitch: (amount) => `A camera looking down ${degrees(amount)} more than said`,
  parallax: (amount) => `A lane ${mm(amount)} nearer to the camera than its scale`,
  lens: (amount) => `A lens that curves by ${number(amount * 100)} % at the corner`,
  shutter: (amount) => `A shutter that takes ${number(amount * 1e6)} µs from row to row`,
}

/** What an uncorrected thing can cost here. */
export function sentenceForCost(cost: UncorrectedCost): string {
  return `${costNames[cost.kind](cost.amount)} would read speeds ${signed(cost.speed_percent)} % off and show an acceleration of ${signed(cost.acceleration_m_s2)} m/s² that is not there.`
}

export function sentenceForRegion(region: OutsideRegion): string {
  return `${number(region.share * 100, 2)} % of the lane line lies outside what its plane’s corners surround, up to ${number(region.reach, 2)} times their reach: there the scale is extended, not held. Use a larger rectangle or points along the lane.`
}

/** A bar that contradicts its plane; undefined where it does not. */
export function sentenceForBar(check: BarCheck): string | undefined {
  if (!check.contradicts) return undefined
  const off = check.found_m - check.stated_m
  return `This bar should be ${mm(check.stated_m)} and reads ${mm(check.found_m)}: ${signed((100 * off) / check.stated_m)} %, more than its ± ${mm(2 * check.u_m)}. One of the lengths in this plane is wrong, or the bar does not lie in it.`
}

/** A plumb line at a right angle to the lane; undefined where the lane's fall is told. */
export function sentenceForLevel(report: SlopeReport): string | undefined {
  if (!report.readsLevel) return undefined
  return `The plumb line stands square to the lane to within ± ${degrees(2 * report.whole.u)}: the lane reads as level, and which way it falls is not told. A longer string tells more.`
}
