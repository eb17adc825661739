import { assertNever, type SlowlaneRecord } from '../record/index.ts'
import { aboutChance, chanceInWords, counted, degrees, duration, mm, perMetre, plain, plusMinus } from './figures.ts'
import type { Filling, Flow, NoFlow } from './flow.ts'
import type { GrooveChange } from './groove-change.ts'
import type { JointEffect } from './joints.ts'
import type { LaneMargin, NoMargin } from './margin.ts'
import { stackOf, type Lift, type NoShim, type Shim } from './shim.ts'
import type { CountedProof, StallChance } from './trials.ts'
import type { WasherStack } from './washers.ts'

/** At most three figures, none of them an idle nought. */
const percent = (share: number): string => `${plain(share * 100, 3).replace(/\.0+$|(\.\d*?)0+$/, '$1')} %`

/** Why a lane has no margin, and what to do. */
export function noMarginSentence(record: SlowlaneRecord, laneId: string, problem: NoMargin): string {
  const key = record.lanes[laneId]?.key ?? '?'
  const lane = `Lane ${key}`
  switch (problem.kind) {
    case 'no-runs-down':
      return `${lane} has no run down the lane in this finish; a margin is about balls that go down. Film some.`
    case 'no-resistance':
      return `${lane} has no C_rr in this finish yet, so nothing says which slope it needs. Results says what is missing.`
    case 'no-stretch':
      return `The runs of lane ${key} share no common part of it, so there is no entry and exit speed. Mark them over a common stretch.`
    case 'climbs':
      return `${lane} climbs by ${degrees(Math.abs(problem.slope_rad))} in the direction it was drawn: every ball would stall on it. If it really goes down, turn its line round in Lanes or change the sign of its slope.`
    case 'too-few-runs':
      return `${counted(problem.have, 'run')} of lane ${key}: how much runs differ is not known, so no slope can be said to hold for nearly all. Mark at least ${problem.need}; five make the limit useful.`
    default:
      return assertNever(problem)
  }
}

/** The margin in one sentence, for people who read no further. */
export function marginSentence(margin: LaneMargin): string {
  const { need, window, setting, reliability } = margin
  const held = `${percent(reliability.share)} of ${need.kind === 'from-rest' ? 'balls start' : 'moving balls keep rolling'} (${percent(reliability.confidence)} confidence)`
  const least = degrees(window.least_rad)
  const actual = degrees(setting.slope_rad)
  if (need.margin < 0)
    return `Short of margin: ${held} from ${least} on, and the lane has ${actual}: ${perMetre(-need.margin)} too little.`
  switch (window.state) {
    case 'too-steep':
      return `It will not stall (needs ${least}), but at ${actual} it lets balls go faster than wished; at most ${degrees(window.greatest_rad ?? 0)}.`
    case 'no-window':
      return `No slope does both: ${held} only from ${least} on, and the exit is as gentle as wished only up to ${degrees(window.greatest_rad ?? 0)}.`
    case 'cannot-be-gentle':
      return `Even level, this lane lets balls go faster than wished: they come in too fast.`
    case 'within':
    case 'too-flat':
      return `${held} from ${least} on, and the lane has ${actual}: ${perMetre(need.margin)} to spare.`
    default:
      return assertNever(window.state)
  }
}

/** What the margin rests on, and what it does not say. */
export function basisSentence({ fromRest, counts }: LaneMargin): string {
  if (fromRest)
    return `From ${counted(counts.startTangents.length, 'start angle')} and the runs filmed: balls at rest and moving ones.`
  const have = counts.startTangents.length
  return have > 0
    ? `Moving balls only: ${counted(have, 'start angle')} entered, three are the least that say anything, ten say it well.`
    : 'Moving balls only: a ball at rest needs a steeper lane. Tilt the lane until a ball starts by itself, at ten spots or with ten balls, and enter the angles.'
}

export function chanceSentence(chance: StallChance, what: 'moving' | 'from-rest'): string {
  const who = what === 'moving' ? 'the chance that a moving ball stalls is' : 'the chance that a ball at rest stays is'
  return `If they spread like a bell, ${who} ${aboutChance(chance.chance)}; ${counted(chance.observations, what === 'moving' ? 'run' : 'start')} alone prove no less than ${chanceInWords(chance.floor)}.`
}

/** “0 of 200: under 1.5 %.” */
export function proofSentence({ passages, stalls, below, confidence }: CountedProof): string {
  return `${stalls} of ${passages} stalled: under ${percent(Number(below.toPrecision(2)))} (${percent(confidence)} confidence).`
}

/** What a person must not overlook: balls stalled although the computed margin says that they should not. */
export function contradictionSentence({ counts, need }: LaneMargin): string | null {
  return counts.stalls > 0 && need.margin >= 0
    ? `${counted(counts.stalls, 'ball')} stalled although the slope is above what is needed: something else stops them – a joint, a burr, dust, a ball out of round. Believe the count, and look where they stood.`
    : null
}

export function leaningSentence(margin: LaneMargin): string | null {
  const which = [
    margin.leans.runs === 'yes' ? 'C_rr of the runs' : '',
    margin.leans.starts === 'yes' ? 'start angles' : '',
  ].filter((part) => part !== '')
  return which.length === 0
    ? null
    : `${which.join(' and ')} lean to one side: the bell curve behind these limits does not fit, and they promise too much. Rely on counted passages.`
}

/** “2 × M8 + 1 × M4, 4.0 ± 0.5 mm”. */
export function stackInWords(stack: WasherStack): string {
  return `${stack.washers.map(({ size, count }) => `${count} × ${size}`).join(' + ')}, ${plusMinus(stack.height_m, 2 * stack.u_m, 1e-3, 'mm')}`
}

export function liftSentence(lift: Lift): string {
  const { support, height_m, stack } = lift
  if (height_m < 0) return `${support.name}: lower by ${mm(-height_m)}`
  const exact = `${support.name}: raise by ${mm(height_m)}`
  const fitting = stackOf(lift)
  if (fitting) return `${exact} – washers ${stackInWords(fitting)}`
  if (stack && 'kind' in stack && height_m < stack.least_m) return `${exact} – thinner than any washer: paper or foil`
  return `${exact} – more than a stack of washers should carry: a block`
}

export function noShimSentence(problem: NoShim): string {
  switch (problem.kind) {
    case 'no-supports':
      return problem.have === 0
        ? 'Where the lane rests is not entered: without its supports no height can be given.'
        : 'One support only: a slope is set over two. Enter the other.'
    case 'at-one-place':
      return `The supports lie ${mm(problem.apart_m)} apart (± ${mm(2 * problem.u_m)}), as good as at one place: no height there gives a slope that holds. Check where they are.`
    case 'steep-enough-as-it-is':
      return 'No change needed.'
    default:
      return assertNever(problem)
  }
}

export function shimTitle({ how }: Shim): string {
  switch (how) {
    case 'raise-upper':
      return 'Raise the upper end'
    case 'lower-lower':
      return 'Lower the far end'
    case 'raise-lower':
      return 'Raise the far end'
    case 'lower-upper':
      return 'Lower the upper end'
    default:
      return assertNever(how)
  }
}

export function grooveSentence(change: GrooveChange): string {
  switch (change.kind) {
    case 'groove':
      return `Open the groove from ${plain((change.from_rad * 180) / Math.PI)}° to ${plain((change.to_rad * 180) / Math.PI)}°: C_rr between ${plain(change.crr[0], 2)} and ${plain(change.crr[1], 2)} by calculation. Only a run on the new groove tells.`
    case 'no-v-groove':
      return 'Not a V-groove: there is no angle to change.'
    case 'not-by-groove':
      return `No angle up to 150° gives the margin; the groove has ${plain((change.from_rad * 180) / Math.PI)}°.`
    default:
      return assertNever(change)
  }
}

export function noFlowSentence(problem: NoFlow): string {
  switch (problem.kind) {
    case 'one-ball-at-a-time':
      return 'Every clip shows one ball only, so there is no interval between balls. Type the interval at which they come.'
    case 'interval-not-positive':
      return `Balls cannot follow each other after ${plain(problem.interval_s)} s. Type the time from one to the next.`
    default:
      return assertNever(problem)
  }
}

export function touchSentence(flow: Flow): string {
  if (flow.rate_per_s > flow.capacity_per_s)
    return `They come faster than the ${plain(flow.capacity_per_s, 2)} a second that can pass where balls are slowest: they push each other.`
  return flow.touch === null
    ? 'Two runs at least show how much transit times scatter; then the chance that two touch can be told.'
    : `Two neighbours touch: ${aboutChance(flow.touch)}.`
}

export function fillingSentence(filling: Filling): string {
  switch (filling.kind) {
    case 'never-fills':
      return 'The exit keeps up: the lane never fills.'
    case 'fills':
      return `It fills in ${duration(filling.after_s)}; ${counted(filling.holds, 'ball')} fit on the filmed part.`
    case 'over-capacity':
      return `More balls come than the lane carries (${plain(filling.capacity_per_s, 2)} a second): it fills from its slowest place.`
    default:
      return assertNever(filling)
  }
}

export function jointSentence(effect: JointEffect, kind: 'gap' | 'step'): string {
  if (effect.kind === 'falls-in')
    return `A ${kind} of ${mm(effect.size_m)} stops this ball for good; it must be below ${mm(effect.most_m)}.`
  const kept = percent(effect.speedRatio)
  const rest =
    effect.startMargin < 0
      ? `a ball that rests there needs ${degrees(effect.startSlope_rad)} and stays`
      : `a ball that rests there starts by itself (needs ${degrees(effect.startSlope_rad)})`
  const moving =
    effect.speedMargin_m_s < 0
      ? `moving balls need ${plain(effect.leastSpeed_m_s, 2)} m/s and the slowest place has less: they can stop here`
      : `moving balls keep ${kept} of their speed (they need ${plain(effect.leastSpeed_m_s, 2)} m/s)`
  return `${moving}; ${rest}.`.replace(/^m/, 'M')
}
