import type { Resimulation } from '../../../workers/handover/index.ts'
import type { Curve, Figure } from '../../plots/figure.ts'
import { showValue } from '../../format/value.ts'
import type { Look } from '../results/motion-figures.ts'

const round = (x: number, digits: number): number => Number(x.toFixed(digits))

/** Points of a re-simulated curve that are drawn; its steps are finer than any screen. */
const drawnPoints = 160
/** Up to so many marks are drawn as rings with their bars. */
const fewMarks = 60

/** The measured marks, and over them the run as the handed-over values roll it. Times from the run's first mark here. */
export function overFigure(rerun: Resimulation, look: Look): Figure {
  const { atMarks, t_s, s_m } = rerun
  const start = rerun.start.t_s
  const end = atMarks.t_s.at(-1) ?? start
  const step = Math.max(1, Math.floor(t_s.length / drawnPoints))
  const kept = t_s.flatMap((t, i) => (t <= end + 0.02 && (i % step === 0 || i === t_s.length - 1) ? [i] : []))
  const few = atMarks.t_s.length <= fewMarks
  const marks: Curve = {
    name: 'measured',
    kind: 'points',
    x: atMarks.t_s.map((t) => round(t - start, 5)),
    y: atMarks.measured_m.map((s) => round(1000 * s, 3)),
    // Bars on hundreds of marks would only thicken the line of them.
    ...(few ? { U: atMarks.sigma_m.map((sigma) => round(2000 * sigma, 3)) } : {}),
    ink: { lane: look.lane },
    size: few ? 5 : 3,
    open: few,
  }
  const rolled: Curve = {
    name: 're-simulated',
    kind: 'line',
    x: kept.map((i) => round(t_s[i]! - start, 5)),
    y: kept.map((i) => round(1000 * s_m[i]!, 3)),
    ink: 'ink',
    width: 1.4,
    direct: 're-simulated',
  }
  return {
    name: `${look.of} re-simulated`,
    caption: `position, mm against s: marks${few ? ' (bars: ± 2 σ of a mark)' : ''} in colour, the re-simulated run as a line over them`,
    x: { label: 'time', unit: 's' },
    y: { label: 'position', unit: 'mm' },
    curves: [marks, rolled],
  }
}

/** Mark less re-simulation, along the way. */
export function leftOverFigure(rerun: Resimulation, look: Look): Figure {
  const { atMarks } = rerun
  const start = rerun.start.t_s
  return {
    name: `${look.of} re-simulated residuals`,
    caption: 'mark less re-simulation, mm against s',
    x: { label: 'time', unit: 's' },
    y: { label: 'mark less re-simulation', unit: 'mm', digits: 3 },
    lines: [{ y: 0, ink: 'line' }],
    curves: [
      {
        name: 'mark less re-simulation',
        kind: 'points',
        x: atMarks.t_s.map((t) => round(t - start, 5)),
        y: atMarks.residual_m.map((r) => round(1000 * r, 4)),
        ink: { lane: look.lane },
        size: 3,
      },
    ],
  }
}

/** How far a ratio is from 1, signed, to a hundredth of a percent. */
export function percentOff(ratio: number): string {
  const hundredths = 0.1
  const { value } = showValue(100 * (ratio - 1), hundredths)
  return `${ratio > 1 ? '+' : ''}${value} %`
}

/** What the ratio of the transit times of all runs says; null where fewer than two have one. */
export function scatterSentence(reruns: readonly Resimulation[]): string | null {
  const ratios = reruns.flatMap(({ transit }) => (transit ? [transit.ratio] : []))
  if (ratios.length < 2) return null
  const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length
  const least = percentOff(Math.min(...ratios))
  const most = percentOff(Math.max(...ratios))
  const how = `Over ${ratios.length} runs the re-simulated time differs from the measured one by ${percentOff(mean)} on average, from ${least} to ${most} run by run.`
  return `${how} One value stands for all runs: what is left from run to run is how they differ from each other, and no value of C_rr takes it away.`
}
