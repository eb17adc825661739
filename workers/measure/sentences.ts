import { assertNever } from '../record/index.ts'
import type { TypedSlope } from './parse-slope.ts'
import { sentenceForFilmed } from './note-sentences.ts'
import type { SampleProblem } from './samples.ts'
import type { SlopeProblem } from './slope.ts'

/** Everything that can keep a measurement from being made in this room. */
export type MeasureProblem = SampleProblem | SlopeProblem | Exclude<TypedSlope, { kind: 'slope' }>

const mm = (metres: number) => `${round(metres * 1000)} mm`
const px = (value: number) => `${round(value)} px`

/** Three significant digits, without an exponent where a person would not expect one. */
function round(value: number): string {
  if (!Number.isFinite(value)) return 'no finite number of'
  return String(Number(value.toPrecision(3)))
}

/** What is wrong, with which value, and what to do. */
export function sentenceFor(problem: MeasureProblem): string {
  switch (problem.kind) {
    case 'run-missing':
      return 'This run is no longer in the record.'
    case 'no-marks':
      return problem.have === 0
        ? 'This run has no marks yet. Mark the ball on at least 4 frames.'
        : `None of this run’s ${problem.have} marks can be used: they lie on repeated frames or outside the clip’s trim. Widen the trim or mark other frames.`
    case 'time-unset':
      return 'How frames become seconds is not set for this view. Choose it on the Time station.'
    case 'rate-not-positive':
      return `A filming rate of ${round(problem.rate_hz)} frames per second gives no time. Enter the rate the camera filmed at, for example 240.`
    case 'frames-invented':
      return `${problem.inUse} frames of this clip that are still used were not filmed. ${sentenceForFilmed(problem.every, problem.first)} The Time station leaves them out with one press.`
    case 'clock-clip-missing':
      return 'The clip in which the rate was measured is no longer in the record. Measure the rate in another clip, or type it.'
    case 'clock-frames':
      return `The two frames must follow one another, but they are ${problem.first} and ${problem.last}. Choose a later second frame.`
    case 'clock-apart':
      return `The time between the two frames is given as ${round(problem.apart_s)} s. Enter a time greater than 0 s.`
    case 'clock-blink':
      return `The light is said to blink ${round(problem.blink_hz)} times a second. Enter a number greater than 0.`
    case 'lamp-not-read':
      return 'The lamp’s brightness has not been read from the clip yet. Draw a box around the lamp and let the tool read it.'
    case 'blink-too-short':
      return `The lamp was read on ${problem.have} frames only; ${problem.need} are needed. Read a longer stretch.`
    case 'blink-not-seen':
      return `No steady blinking is seen in this box: a swing of ${round(problem.amplitude)} against a noise of ${round(problem.noise)} grey levels. Draw the box closer around the lamp, or on a plain surface that the lamp lights.`
    case 'blink-few-cycles':
      return `Only ${round(problem.cycles)} cycles of the lamp are in this stretch; ${problem.need} are needed. Read a longer stretch or use a faster lamp.`
    case 'flicker-ambiguous':
      return problem.rates_hz.length === 0
        ? 'The flicker fits no rate that cameras film at. Check the mains frequency (100 or 120 flickers a second), or measure the rate another way.'
        : `The flicker fits ${problem.rates_hz.map((rate) => `${round(rate)}`).join(' and ')} frames per second alike. Type the rate, or measure it another way.`
    case 'fall-few-marks':
      return `The fall is marked on ${problem.have} frames; ${problem.need} or more are needed.`
    case 'fall-not-falling':
      return `These marks do not show a fall: their speed changes by ${mm(problem.perFrame2_m)} per frame² ± ${mm(2 * problem.u)}. Mark a ball in free fall over as many frames as possible.`
    case 'line-missing':
      return 'This lane has no line in this view. Draw it on the Lanes station.'
    case 'line-without-scale':
      return 'This lane’s line belongs to no plane and has no ticks, so pixels have no length. Choose a plane for it, or mark three ticks along it.'
    case 'line-too-short':
      return 'The lane line has no length: its points lie on top of each other. Drag them apart.'
    case 'beyond-horizon':
      return 'The lane line runs beyond the horizon of its plane. Check the plane’s corners, or draw the line where the plane is.'
    case 'nearer-than-camera':
      return `The lane is said to lie ${mm(problem.nearer_m)} nearer than its scale, but the camera is only ${mm(problem.distance_m)} away. Correct one of the two distances.`
    case 'distance':
      return `The camera’s distance is given as ${mm(problem.distance_m)}. Enter a distance greater than 0 mm; ± may be wide.`
    case 'plane-missing':
      return 'The plane this lane belongs to is no longer in the view. Choose another plane.'
    case 'side-length':
      return `The rectangle’s ${problem.side} is given as ${mm(problem.length_m)}. Enter a length greater than 0 mm.`
    case 'corners-collinear':
      return 'Three corners of the rectangle lie on one line, so it spans no surface. Drag the corners to those of a real rectangle.'
    case 'corners-crossed':
      return 'The rectangle’s sides cross each other or it has a dent. Place the corners in turn, going round it.'
    case 'corner-too-close':
      return `Two corners are only ${px(problem.px)} apart; ${px(problem.need)} are needed. Use a larger rectangle or zoom with the camera.`
    case 'points-too-few':
      return `The plane has ${problem.have} known points; ${problem.need} are needed.`
    case 'points-collinear':
      return 'The known points do not determine the plane: too many lie on one line, or their positions contradict the picture. Check them.'
    case 'no-bars':
      return 'This plane has no scale bar yet. Place one on two points a known length apart.'
    case 'bar-length':
      return `The scale bar’s length is given as ${mm(problem.length_m)}. Enter a length greater than 0 mm.`
    case 'bar-short':
      return `The scale bar is ${px(problem.px)} long in the picture; ${px(problem.need)} are needed. Use a longer bar.`
    case 'stand-unsolved':
      return 'The bars of this plane cannot be brought together with the camera’s pitch and distance. Check their lengths and the distance.'
    case 'edges-need-points':
      return `A straight edge needs ${problem.need} points along it; the longest has ${problem.have}.`
    case 'edges-say-nothing':
      return Number.isFinite(problem.u)
        ? `The edges leave the lens curvature unknown by ± ${round(2 * problem.u)}; more than ± ${round(2 * problem.limit)} tells nothing. Mark longer edges near the picture’s border, with more points.`
        : 'The edges say nothing about the lens: they are too short or run through the middle of the picture. Mark long edges near the picture’s border.'
    case 'ticks-too-few':
      return `The tape has ${problem.have} ticks; ${problem.need} are needed.`
    case 'ticks-too-close':
      return `Two ticks are only ${px(problem.px)} apart; ${px(problem.need)} are needed. Leave one out.`
    case 'ticks-order':
      return `The tick at ${mm(problem.s_m)} stands out of order along the lane. Check its number and its place.`
    case 'ticks-no-map':
      return 'The ticks give no steady scale along the lane. Check their numbers and places.'
    case 'slope-unknown':
      return 'The slope of this mounting is unknown. Type it, read it from a plumb line, or roll the ball both ways.'
    case 'supports-apart':
      return `Supports ${mm(problem.apart_m)} apart cannot differ in height by ${mm(Math.abs(problem.drop_m))}. Check the three lengths.`
    case 'stations-too-few':
      return `Heights are given at ${problem.have} places; ${problem.need} are needed.`
    case 'stations-order':
      return `The place at ${mm(problem.s_m)} does not lie beyond the one before it. Sort the places along the lane.`
    case 'stations-too-steep':
      return `Between ${mm(problem.fromS_m)} and ${mm(problem.toS_m)} the height changes by ${mm(Math.abs(problem.drop_m))}: steeper than 45°. Check the heights.`
    case 'slope-beyond-45':
      return `A slope of ${round(problem.degrees)}° is beyond ± 45°. Check it.`
    case 'no-gravity-line':
      return 'This view has no plumb line or level edge. Mark one on the Scale station, or type the slope.'
    case 'slope-needs-plane':
      return 'The slope of this lane cannot be read from the picture without a plane. Choose a plane for the lane, or type heights along it.'
    case 'plumb-along-lane':
      return `Against the plumb line the lane stands at ${round(problem.degrees)}°, which is beyond ± 45°. Check the plumb line: two points on the string, and whether it is a plumb line or a level edge.`
    case 'not-a-slope':
      return problem.text.trim() === ''
        ? 'Enter a slope, for example 1.8° or 12 mm/m or 15:800.'
        : `“${problem.text}” is not a slope. Enter it like 1.8° or 12 mm/m or 15:800.`
    case 'slope-too-steep':
      return `“${problem.text}” is a slope of ${round(problem.degrees)}°, beyond ± 45°. Check the number and its unit.`
    default:
      return assertNever(problem)
  }
}
