import type { Distribution, Estimate } from '../record/index.ts'
import type { Flag } from './flags.ts'
import type { LaneProblem, RunProblem } from './problems.ts'
import type { Candidate } from './choose-model.ts'
import type { LocalResult } from './local-resistance.ts'
import type { ModelKind } from './motion-basis.ts'
import type { SpeedCurve } from './speed-curve.ts'

/** One line of an uncertainty budget (JCGM 100:2008, H.1 and annex): a source, or one of the random parts. */
export interface BudgetRow {
  /** Id of the source; null for what scatters at random. */
  readonly sourceId: string | null
  readonly name: string
  readonly type: 'A' | 'B'
  /** The stated value that the source belongs to, in the source's unit; null where it belongs to none or several. */
  readonly value: number | null
  /** Standard uncertainty of the source in its own unit. */
  readonly u: number
  readonly unit: string
  readonly distribution: Distribution | { readonly kind: 'scatter'; readonly dof: number }
  /** Change of the result per unit of the source. */
  readonly sensitivity: number
  /** Change of the result for one standard uncertainty, signed. */
  readonly contribution: number
  /** Part of the result's variance, 0 … 1. */
  readonly share: number
  /** The width was guessed by the tool, because the person did not know. */
  readonly guessed: boolean
}

/** What a run contributed, and what of it was left out. */
export interface RunResult {
  readonly runId: string
  readonly marks: number
  /** Marks before the ball left and after it came to rest, not used. */
  readonly resting: { readonly before: number; readonly after: number }
  readonly entry: Estimate | null
  readonly exit: Estimate | null
  /** This run's own acceleration along its travel, whatever the others say. */
  readonly acceleration: Estimate
  readonly transit: Estimate | null
  readonly residuals: {
    readonly t_s: readonly number[]
    readonly s_m: readonly number[]
    readonly residual_m: readonly number[]
    readonly sigma_m: readonly number[]
    /** Indices into the run's marks. */
    readonly mark: readonly number[]
  }
  /** Marks that lie far outside; pointed out, not dropped. */
  readonly outliers: readonly { readonly mark: number; readonly times_sigma: number }[]
}

/** A speed at a place, read three ways. */
export interface SpeedResult {
  /** Position along the lane [m]; the same for all finishes of the lane. */
  readonly at_m: number
  /** Mean of the runs that were filmed: how well these are known. */
  readonly filmed: Estimate
  /** What to expect of a further run of the same kind on average: scatter between runs counts. Null from one run. */
  readonly typical: Estimate | null
  /** Standard deviation between runs [m/s]; null from one run. */
  readonly scatter_m_s: number | null
}

/** How the motion of a series is described, and how else it might be. */
export interface ModelResult {
  readonly kind: ModelKind
  readonly candidates: readonly Candidate[]
  /** Deceleration that grows with speed, a = push − rate·v; only where that model was taken. */
  readonly speedPart: {
    readonly rate: Estimate
    /** Resistance towards speed zero, at entry and at exit. */
    readonly crrAtRest: Estimate | null
    readonly crrAtEntry: Estimate | null
    readonly crrAtExit: Estimate | null
    /** Speed that the ball approaches [m/s]; null where it would come to rest. */
    readonly terminal_m_s: number | null
  } | null
  /** The model that the marks speak for although it was not taken, and the speeds it reads; the uncertainty of speeds holds the difference. */
  readonly spokenFor: {
    readonly kind: ModelKind
    readonly entry_m_s: number | null
    readonly exit_m_s: number | null
  } | null
  /** Resistance of the lane without that of the air, whose drag is known; only where that model was asked for. */
  readonly withoutAir: { readonly crr: Estimate; readonly drag_per_m: number } | null
}

/** Runs of one ball on one mounting in one direction. */
export interface SeriesResult {
  readonly mountingId: string
  readonly ballId: string
  /** As the ball went: `level` where its runs are stated to be on a level lane. */
  readonly direction: 'down' | 'up' | 'level'
  /** Sense along the lane line. */
  readonly travel: 1 | -1
  readonly runs: readonly RunResult[]
  readonly entry: SpeedResult | null
  readonly exit: SpeedResult | null
  /** Along the travel: negative while the ball slows. */
  readonly acceleration: Estimate
  readonly transit: Estimate | null
  readonly slows: { readonly stallsAt_m: number; readonly beyondExit_m: number } | null
  readonly crr: Estimate | null
  readonly slope: Estimate | null
  readonly rollingRadius: Estimate | null
  readonly inertiaFactor: Estimate | null
  /** Scatter of marks about the fit, in units of the stated one, and the correlation of neighbours. */
  readonly marks: { readonly ratio: number; readonly correlation: number }
  /** Spread between runs of the acceleration beyond the marks' [m/s²], and how likely chance is; null from one run. */
  readonly betweenRuns: { readonly sd_m_s2: number; readonly p: number; readonly counted: boolean } | null
  readonly model: ModelResult
  readonly local: LocalResult | null
  readonly speeds: SpeedCurve
  /** Range of speed that was covered [m/s]. */
  readonly speedRange_m_s: readonly [number, number]
}

/** One way to the resistance that the record allows. */
export interface Way {
  readonly kind: 'down-slope' | 'up-slope' | 'level' | 'two-way' | 'several-mountings'
  readonly mountingIds: readonly string[]
  readonly ballId: string
  readonly crr: Estimate
  /** Found from the motion itself, by the two-way run only. */
  readonly slope: Estimate | null
  readonly runs: number
}

/** A simpler way to the resistance from the same runs: less sharp, but it rests on little, so that it checks the fit. */
export interface CrossCheck {
  /** `release-and-exit`: height of fall from where the ball lay to the exit, and the speed there. `gates`: times at three places only. */
  readonly kind: 'release-and-exit' | 'gates'
  /** Index into the lane's `series`. */
  readonly series: number
  readonly runs: number
  readonly crr: Estimate
}

/** What a further measurement would bring. */
export interface Advice {
  /** `two-way`: runs the other way on the same mounting. `more-runs`: further ones of the kind of the best way. */
  readonly kind: 'two-way' | 'more-runs'
  readonly runs: number
  /** U of C_rr to be expected, and of the best way as it is. */
  readonly U: number
  readonly now: number
}

/** Result of one lane with one finish. */
export interface LaneResult {
  readonly laneId: string
  readonly finishId: string
  /** Part of the lane that every run covers, between which entry and exit are read. */
  readonly stretch: Stretch | null
  readonly series: readonly SeriesResult[]
  /** The series that the lane's row shows: downhill, most runs. Index into `series`; null when no run could be fitted. */
  readonly main: number | null
  /** Ordered by U. */
  readonly ways: readonly Way[]
  /** That of the best way. */
  readonly crr: Estimate | null
  readonly checks: readonly CrossCheck[]
  /** What to measure next, the most useful first. */
  readonly advice: readonly Advice[]
  readonly budget: readonly BudgetRow[]
  readonly problems: readonly (LaneProblem | RunProblem)[]
  readonly flags: readonly Flag[]
}

export interface Stretch {
  readonly from_m: number
  readonly to_m: number
  /** Runs that keep it from being longer, and how much of the lane's line it is. */
  readonly limitedBy: readonly string[]
  readonly shareOfLane: number
}
