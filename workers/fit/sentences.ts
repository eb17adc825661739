import { sentenceFor } from '../measure/sentences.ts'
import { whyItDoesNotRide } from '../physics/sentences.ts'
import { assertNever, type SlowlaneRecord } from '../record/index.ts'
import type { Candidate } from './choose-model.ts'
import type { Flag } from './flags.ts'
import type { SlowSpot } from './local-resistance.ts'
import type { ModelKind } from './motion-basis.ts'
import type { LaneProblem } from './problems.ts'
import type { Advice, CrossCheck, LaneResult } from './results.ts'

/** What is wrong with a run or a lane, with the value, and what to do. */
export function problemSentence(record: SlowlaneRecord, problem: LaneProblem): string {
  switch (problem.kind) {
    case 'too-few-marks':
      return `${runName(record, problem.runId)} has ${count(problem.have, 'usable mark')}; a speed and an acceleration need at least ${problem.need}. Mark more frames of it.`
    case 'one-spot':
      return `All marks of ${runName(record, problem.runId)} lie on one spot. Mark the ball where it is on each frame, or delete the run.`
    case 'never-moves':
      return `The ball of ${runName(record, problem.runId)} moves only ${mm(problem.moved_m)} in all, no more than the ± ${mm(problem.noise_m)} of a mark explains. Mark frames in which it rolls, or delete the run.`
    case 'time-not-rising':
      return `In ${runName(record, problem.runId)} time does not go on at mark ${problem.mark + 1}: the step from the mark before is ${(problem.step_s * 1000).toPrecision(3)} ms. Look at the clip’s timestamps in Time, or count frames evenly there.`
    case 'mostly-at-rest':
      return `${runName(record, problem.runId)} shows the ball at rest on ${count(problem.resting, 'mark')} and rolling on ${problem.left}; at least 4 rolling ones are needed. Mark more frames after its release.`
    case 'not-in-metres':
      return `${runName(record, problem.runId)} cannot be measured yet. ${sentenceFor(problem.cause)}`
    case 'slope-unknown':
      return `The slope of ${mountingName(record, problem.mountingId)} is not known, and its runs go ${problem.direction === 'up' ? 'up' : 'down'} only, so there is acceleration but no C_rr. Type the slope in Lanes, or film runs the other way as well: both directions together give slope and C_rr.`
    case 'slope-not-found':
      return `The slope of ${mountingName(record, problem.mountingId)} cannot be found. ${sentenceFor(problem.cause)}`
    case 'guide-impossible':
      return `${record.balls[problem.ballId]?.name ?? 'This ball'} cannot ride on this guide, so there is no C_rr. ${whyItDoesNotRide(problem.cause)}`
    case 'no-common-stretch':
      return `The ${count(problem.runIds.length, 'run')} of this lane cover no common part of it, so entry and exit speed cannot be read at the same places. Mark the runs over a common stretch, or exclude the short ones.`
    default:
      return assertNever(problem)
  }
}

/** A remark about a result, with its likely cause and what to do. */
export function flagSentence(record: SlowlaneRecord, flag: Flag): string {
  switch (flag.kind) {
    case 'slows':
      return flag.direction === 'down'
        ? `The ball slows on this lane: C_rr is above the slope. It would stall ${mm(flag.beyondExit_m)} beyond the exit, at ${mm(flag.stallsAt_m)}. Steeper, smoother, or shorter.`
        : `The ball slows and would come to rest at ${mm(flag.stallsAt_m)}, ${mm(flag.beyondExit_m)} beyond the exit.`
    case 'implausible': {
      const hint =
        flag.rateFactor !== null && flag.rateFactor < 0.8
          ? ` A filming rate of ${flag.rateFactor.toPrecision(2)} × the stated one would explain it.`
          : ''
      return `C_rr comes out below zero (${flag.crr.toPrecision(2)} ± ${flag.U.toPrecision(2)}): the ball gains ${flag.acceleration_m_s2.toPrecision(3)} m/s², more than the ${flag.frictionless_m_s2.toPrecision(3)} m/s² it could without any resistance. Check the filming rate, the slope, the guide and the scale; a ball that slides instead of rolling does this too.${hint}`
    }
    case 'one-run':
      return 'One run only: how much runs differ from each other is not known and not in U. Three more would show it.'
    case 'runs-scatter':
      return `The ${flag.runs} runs differ by more than their marks explain (standard deviation ${flag.sd_m_s2.toPrecision(2)} m/s²): release, dust, or the lane’s line of contact. U follows from their spread; more runs narrow it.`
    case 'marks-correlated':
      return `Neighbouring marks err alike (correlation ${flag.correlation.toPrecision(2)}), or the model bends otherwise than the motion. U is widened for it; look at the residuals.`
    case 'marks-scatter':
      return `Marks scatter ${flag.ratio.toPrecision(2)} times as much as stated. Look at the residuals: a bend in them is the lane’s, jumps are marks to correct.`
    case 'outliers':
      return `${runName(record, flag.runId)}: ${flag.marks.length === 1 ? `mark ${flag.marks[0]! + 1} lies` : `marks ${flag.marks.map((mark) => mark + 1).join(', ')} lie`} far off (up to ${flag.most.toPrecision(2)} times the usual scatter). Nothing was dropped: look at ${flag.marks.length === 1 ? 'it' : 'them'} and correct or delete.`
    case 'slope-dominates':
      return `${percent(flag.share)} of the uncertainty is the slope’s.${
        flag.twoWayU !== null
          ? ` The two-way result does not depend on it: U = ${flag.twoWayU.toPrecision(2)}.`
          : ' Film two or three runs the other way up or with the lane turned end for end: both directions together do not need the slope. Or measure it by the heights of its ends.'
      }`
    case 'source-dominates':
      return flag.guessed
        ? `${percent(flag.share)} of the uncertainty comes from “${flag.name}”, which was answered with “I don’t know”. Measuring it narrows U most.`
        : `${percent(flag.share)} of the uncertainty comes from “${flag.name}”. Improve that first.`
    case 'short-run':
      return `Entry and exit are read over ${percent(flag.shareOfLane)} of the lane only, because ${list(flag.runIds.map((id) => runName(record, id)))} ${flag.runIds.length === 1 ? 'is' : 'are'} short. Mark more frames there, or exclude ${flag.runIds.length === 1 ? 'it' : 'them'}.`
    case 'direction-disagrees':
      return `${runName(record, flag.runId)} is noted as going ${flag.stated}, but its marks go the other way along the lane line. It is counted by its marks.`
    case 'resting-left-out':
      return `${runName(record, flag.runId)}: ${[
        flag.before > 0 ? `${count(flag.before, 'mark')} before the ball rolled` : '',
        flag.after > 0 ? `${count(flag.after, 'mark')} after it stopped` : '',
      ]
        .filter((part) => part !== '')
        .join(' and ')} left out.`
    case 'ways-disagree':
      return `Two ways to C_rr differ by ${Math.abs(flag.difference).toPrecision(2)}, more than the ± ${flag.U.toPrecision(2)} they leave open: the slope may be off, or resistance differs with direction or speed.`
    case 'slow-spot':
      return `Slow spot from ${mm(flag.from_m)} to ${mm(flag.to_m)} from the lane’s start${flag.direction === 'up' ? ', seen on the way up' : ''}: C_rr is ${flag.excess.toPrecision(2)} above the rest of the lane there, which costs ${mm(flag.lostHeight_m)} of height. ${recurrenceSentence(flag.recurs)}`
    case 'depends-on-speed': {
      const ends =
        flag.crrAtEntry !== null && flag.crrAtExit !== null && flag.entry_m_s !== null && flag.exit_m_s !== null
          ? ` It is ${flag.crrAtEntry.toPrecision(2)} at the entry (${flag.entry_m_s.toPrecision(2)} m/s) and ${flag.crrAtExit.toPrecision(2)} at the exit (${flag.exit_m_s.toPrecision(2)} m/s).`
          : ''
      return `Resistance grows with speed (deceleration ${flag.rate_per_s.toPrecision(2)} ± ${flag.U_per_s.toPrecision(1)} per second of speed).${ends} C_rr is the equivalent for these speeds and does not hold for others.`
    }
    case 'model-doubted': {
      const ends =
        flag.entry_m_s !== null && flag.exit_m_s !== null
          ? ` It would read ${flag.entry_m_s.toPrecision(3)} m/s at the entry and ${flag.exit_m_s.toPrecision(3)} m/s at the exit; U of the speeds is widened by the difference.`
          : ''
      return `The motion is told by ${modelWords[flag.taken]}, but the marks speak for ${modelWords[flag.spokenFor]}.${ends} The list of models says why it was not taken; a run that starts slower shows more.`
    }
    case 'uneven':
      return `Resistance changes along the lane, from ${flag.least.toPrecision(2)} to ${flag.greatest.toPrecision(2)}, without a single spot standing out: a bent lane, or a groove that changes. Check it with a straightedge, or run it both ways.`
    case 'slip':
      return `${runName(record, flag.runId)}: the ball goes ${mm(flag.perTurn_m)} per turn, more than the ${mm(flag.rolling_m)} ± ${mm(flag.U_m)} of rolling. It slides, or the guide is other than entered.`
    case 'rolling-radius-disagrees':
      return `${runName(record, flag.runId)}: the ball goes ${mm(flag.perTurn_m)} per turn, less than the ${mm(flag.rolling_m)} ± ${mm(flag.U_m)} that the guide says. Check the groove and the ball, or enter the rolling radius ${mm(flag.perTurn_m / (2 * Math.PI))}.`
    case 'air-drag':
      return `Air makes ${flag.crr.toPrecision(2)} of C_rr (${percent(flag.share)}) at the exit’s ${flag.speed_m_s.toPrecision(2)} m/s. Choose the model with known air drag to see the lane’s part alone.`
    default:
      return assertNever(flag)
  }
}

const modelWords: Readonly<Record<ModelKind, string>> = {
  'constant-velocity': 'a constant speed',
  'constant-acceleration': 'a constant acceleration',
  'dry-and-viscous': 'resistance that changes with speed',
  'known-drag': 'a constant acceleration and the known drag of air',
  local: 'resistance that changes along the lane',
}

function recurrenceSentence(recurs: SlowSpot['recurs']): string {
  switch (recurs) {
    case 'in-most-runs':
      return 'Most runs show it: look for a joint, dust or a burr there.'
    case 'one-run-only':
      return 'Most runs do not show it: dust or a touch in one run is likelier than the lane.'
    case 'single-run-filmed':
      return 'One run only shows it: film it again to see whether it stays.'
    case 'one-view-only':
      return 'Another camera position does not show it: lens or scale is likelier than the lane.'
    default:
      return assertNever(recurs)
  }
}

/** What a further measurement would bring. */
export function adviceSentence({ kind, runs, U, now }: Advice): string {
  const gain = Number.isFinite(now)
    ? `U would be about ${U.toPrecision(2)} instead of ${now.toPrecision(2)}`
    : `U would be about ${U.toPrecision(2)}`
  switch (kind) {
    case 'two-way':
      return `${runs} runs the other way on the same mounting, or the lane turned end for end: ${gain}, and the slope comes out with it.`
    case 'more-runs':
      return U > 0.95 * now
        ? `${runs} more runs of the same kind would hardly help: ${gain}.`
        : `${runs} more runs of the same kind: ${gain}.`
    default:
      return assertNever(kind)
  }
}

/** What a cross-check rests on, in words. */
export function checkSentence({ kind, runs, crr }: CrossCheck): string {
  const shown = `C_rr ${crr.value.toPrecision(3)} ± ${crr.U.toPrecision(2)} from ${count(runs, 'run')}`
  return kind === 'gates'
    ? `From the times at three places only: ${shown}.`
    : `From the height of fall and the exit speed only: ${shown}.`
}

/** Why a model stands where it stands. */
export function standingSentence({ standing }: Candidate): string {
  switch (standing.kind) {
    case 'chosen':
      return standing.by === 'person' ? 'chosen by you' : 'chosen: the simplest that the marks do not contradict'
    case 'behind':
      return 'explains the marks no better for what it adds'
    case 'too-few-marks':
      return 'too few marks for it'
    case 'does-not-settle':
      return 'does not settle on these marks'
    case 'rate-unclear':
      return `its speed-proportional part, ${standing.rate_per_s.toPrecision(2)} ± ${(2 * standing.u_per_s).toPrecision(2)} per second, is not clear of zero`
    case 'speeds-alike':
      return `speeds differ by a factor of ${standing.ratio.toPrecision(2)} only; below 2 its parts cannot be told apart`
    case 'not-asked':
      return 'taken only when you choose it'
    default:
      return assertNever(standing)
  }
}

/** What to improve first, from a result's budget. Null where there is no resistance. */
export function improveFirst(result: LaneResult): string | null {
  const [first, second] = result.budget
  if (!first) return null
  const what =
    first.sourceId === null
      ? 'the scatter of marks and runs: more runs, and marks on more frames'
      : `“${first.name}”${first.guessed ? ', which nobody has measured yet' : ''}`
  const without = Math.sqrt(Math.max(0, 1 - first.share))
  const gain = `Without it U would be ${percent(without)} of what it is`
  return `Improve first: ${what}. ${gain}${second && second.share > 0.1 ? `; then “${second.name}”.` : '.'}`
}

function runName(record: SlowlaneRecord, runId: string): string {
  const run = record.runs[runId]
  if (!run) return `Run ${runId}`
  const key = record.lanes[run.laneId]?.key ?? '?'
  const siblings = Object.values(record.runs).filter((other) => other.laneId === run.laneId)
  return `Run ${siblings.findIndex((other) => other.id === runId) + 1} of lane ${key}`
}

function mountingName(record: SlowlaneRecord, mountingId: string): string {
  const mounting = record.mountings[mountingId]
  const key = mounting && record.lanes[mounting.laneId]?.key
  return `lane ${key ?? '?'} (${mounting?.name ?? mountingId})`
}

const mm = (metres: number) => `${(metres * 1000).toPrecision(3)} mm`
const percent = (share: number) => `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`
const count = (n: number, what: string) => `${n} ${what}${n === 1 ? '' : 's'}`

function list(items: readonly string[]): string {
  return items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} and ${items[items.length - 1]!}`
}
