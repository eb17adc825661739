import * as maths from '../elementary/maths.ts'
import { type Run, type SlowlaneRecord, noDeviations } from '../record/index.ts'
import { solveLeastSquares } from './least-squares-small.ts'
import { type SampleProblem, type Setting, samplesOf, settingOf } from './samples.ts'
import { slopeBetween, slopeOf } from './slope.ts'
import { timeRuleOf } from './time-of.ts'

/** What speaks against the chosen time of a clip. */
export type RateFlag =
  /** The file says the camera filmed at `tag_hz`; `factor`: chosen over tag. */
  | { readonly kind: 'tag-contradicts'; readonly rate_hz: number; readonly tag_hz: number; readonly factor: number }
  /** Slower than the file plays: then the clip would be a time lapse. */
  | { readonly kind: 'slower-than-file'; readonly rate_hz: number; readonly file_hz: number }
  /** Timestamps are uneven, but frame numbers are used as time. */
  | { readonly kind: 'uneven-but-even'; readonly uneven: number; readonly frames: number }
  /** The ball gains speed faster than any ball without resistance could on this slope. */
  | {
      readonly kind: 'too-fast-for-slope'
      readonly runId: string
      readonly acceleration_m_s2: number
      readonly most_m_s2: number
      /** A usual slip of the rate that would explain it: the true rate is the chosen one over this. */
      readonly slip: number | null
    }

const usualSlips = [2, 4, 5, 8, 10, 16, 32]

/** Flags on the time of one clip. Empty: nothing speaks against it, which is no proof. */
export function rateFlags(record: SlowlaneRecord, clipId: string): RateFlag[] {
  const clip = record.clips[clipId]
  const view = clip && record.views[clip.viewId]
  if (!clip || !view) return []
  const rule = timeRuleOf(record, clip, noDeviations)
  if (rule.kind !== 'time-rule') return []
  const flags: RateFlag[] = []
  const rate_hz = 1 / rule.secondsPerFrame
  const tag_hz = clip.filmingRateTag_hz
  if (tag_hz !== null && Math.abs(rate_hz / tag_hz - 1) > 0.01)
    flags.push({ kind: 'tag-contradicts', rate_hz, tag_hz, factor: rate_hz / tag_hz })
  if (rate_hz < 0.95 * clip.fileRate_hz) flags.push({ kind: 'slower-than-file', rate_hz, file_hz: clip.fileRate_hz })
  const { timebase } = view
  if (
    clip.interval.uneven > 0 &&
    (timebase.kind === 'filmed-at' || timebase.kind === 'measured') &&
    timebase.spacing === 'even'
  )
    flags.push({ kind: 'uneven-but-even', uneven: clip.interval.uneven, frames: clip.frames })
  const settings = new Map<string, Setting | SampleProblem>()
  for (const run of Object.values(record.runs)) {
    if (run.clipId !== clipId || run.excluded) continue
    const flag = rememberedFlag(record, run, () => {
      const shared = `${run.viewId} ${run.laneId}`
      const setting = settings.get(shared) ?? settingOf(record, run, noDeviations)
      settings.set(shared, setting)
      return setting
    })
    if (flag) flags.push(flag)
  }
  return flags
}

type Answer = { readonly from: readonly unknown[]; readonly flag: RateFlag | undefined }
const answers = new WeakMap<Run, Answer>()

/** A run's flag is asked for at every change of the record, and rests on few parts of it: while those are the same objects, so is the answer. */
function rememberedFlag(
  record: SlowlaneRecord,
  run: Run,
  settingNow: () => Setting | SampleProblem,
): RateFlag | undefined {
  const { views, clips, mountings, sources, settings } = record
  const from = [views, clips[run.clipId], mountings[run.mountingId], sources, settings]
  const known = answers.get(run)
  if (known?.from.every((part, i) => part === from[i])) return known.flag
  const setting = settingNow()
  const flag = setting.kind === 'setting' ? tooFast(record, run.id, setting) : undefined
  answers.set(run, { from, flag })
  return flag
}

/** Fewest marks from which an acceleration says anything against a rate. */
const fewestMarks = 8

function tooFast(record: SlowlaneRecord, runId: string, setting: Setting): RateFlag | undefined {
  const run = record.runs[runId]!
  const mounting = record.mountings[run.mountingId]
  const slope = mounting && slopeOf(record, mounting, noDeviations)
  const samples = samplesOf(record, runId, noDeviations, setting)
  if (slope?.kind !== 'slope' || samples.kind !== 'samples' || samples.t_s.length < fewestMarks) return undefined
  const { t_s, s_m } = samples
  const n = t_s.length
  const fit = acceleration(t_s, s_m)
  if (!fit) return undefined
  const g = record.settings.gravity.g_m_s2.value
  // k = 1: a ball that slides without turning gains most.
  const most_m_s2 = g * maths.sin(slopeBetween(slope, s_m[0]!, s_m[n - 1]!))
  // 3 u of the fit and 10 % of g·sin θ or 0.03 m/s² (0.2° of slope): beyond slope and scale as people state them.
  const margin = 3 * fit.u + Math.max(0.1 * Math.abs(most_m_s2), 0.03)
  if (!(fit.a > most_m_s2 + margin)) return undefined
  const ratio = most_m_s2 > 0 ? Math.sqrt(fit.a / most_m_s2) : NaN
  // Rolling takes k = 1.3 … 2 of it: the slip may lie somewhat above the ratio's root.
  const slip = usualSlips.find((by) => by >= 0.95 * ratio && by <= 1.6 * ratio) ?? null
  return { kind: 'too-fast-for-slope', runId, acceleration_m_s2: fit.a, most_m_s2, slip }
}

function acceleration(t_s: Float64Array, s_m: Float64Array): { a: number; u: number } | undefined {
  const n = t_s.length
  const t0 = (t_s[0]! + t_s[n - 1]!) / 2
  const half = (t_s[n - 1]! - t_s[0]!) / 2
  if (!(half > 0)) return undefined
  const rows = new Float64Array(3 * n)
  for (let i = 0; i < n; i++) {
    const q = (t_s[i]! - t0) / half
    rows.set([1, q, (q * q) / 2], 3 * i)
  }
  const fit = solveLeastSquares(rows, s_m.slice(), n, 3)
  if (!fit) return undefined
  let rss = 0
  for (let i = 0; i < n; i++) {
    const q = (t_s[i]! - t0) / half
    rss += (s_m[i]! - fit[0]! - fit[1]! * q - (fit[2]! * q * q) / 2) ** 2
  }
  const sigma = Math.sqrt(rss / Math.max(1, n - 3))
  // √720·σ/(T²·√N), T = 2·half: equally spaced marks, white noise; doubled for what is neither.
  const u = (2 * Math.sqrt(720) * sigma) / (4 * half * half * Math.sqrt(n))
  return { a: fit[2]! / half ** 2, u }
}
