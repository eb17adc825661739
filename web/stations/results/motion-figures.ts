import type { SeriesResult } from '../../../workers/fit/results.ts'
import { speedOf } from '../../../workers/fit/speed-curve.ts'
import type { Curve, Figure } from '../../plots/figure.ts'

/** Points at which a fitted curve is drawn along the lane. */
const steps = 40

/** How a lane is told apart in a plot. */
export interface Look {
  readonly lane: number
  /** Names the files: “lane B as cut”. */
  readonly of: string
}

const round = (x: number, digits: number): number => Number(x.toFixed(digits))

/** Position along the lane against time since each run's first mark, all runs together. */
export function positionFigure(series: SeriesResult, look: Look): Figure {
  const curves = series.runs.map((run, i): Curve => {
    const start = run.residuals.t_s[0] ?? 0
    return {
      name: `run ${i + 1}`,
      kind: 'points',
      x: run.residuals.t_s.map((t) => round(t - start, 5)),
      y: run.residuals.s_m.map((s) => round(1000 * s, 3)),
      ink: { lane: look.lane },
      size: 3,
    }
  })
  const fitted = series.runs.map((run, i): Curve => {
    const start = run.residuals.t_s[0] ?? 0
    const { t_s, s_m, residual_m } = run.residuals
    return {
      name: `run ${i + 1}, fitted`,
      kind: 'line',
      x: t_s.map((t) => round(t - start, 5)),
      y: s_m.map((s, k) => round(1000 * (s - residual_m[k]!), 3)),
      ink: 'ink',
      width: 1,
      guide: true,
    }
  })
  return {
    name: `${look.of} position`,
    caption: 'position, mm against s',
    x: { label: 'time', unit: 's' },
    y: { label: 'position', unit: 'mm' },
    curves: [...fitted, ...curves],
  }
}

/** Speed along the lane: differences over a few marks as points, the fitted motion as a line. */
export function speedFigure(series: SeriesResult, look: Look): Figure {
  const [from, to] = series.speeds.covered_m
  const points = series.runs.map((run, i): Curve => {
    const { t_s, s_m } = run.residuals
    const reach = Math.max(1, Math.round(t_s.length / 24))
    const x: number[] = []
    const y: number[] = []
    for (let k = reach; k + reach < t_s.length; k += reach) {
      const time_s = t_s[k + reach]! - t_s[k - reach]!
      if (!(time_s > 0)) continue
      x.push(round(500 * (s_m[k + reach]! + s_m[k - reach]!), 2))
      y.push(round(Math.abs(s_m[k + reach]! - s_m[k - reach]!) / time_s, 5))
    }
    return { name: `run ${i + 1}`, kind: 'points', x, y, ink: { lane: look.lane }, size: 3 }
  })
  const lines = series.speeds.motions.map((motion, i): Curve => {
    const at = Array.from({ length: steps + 1 }, (_, k) => from + ((to - from) * k) / steps)
    const known = at.flatMap((s) => {
      const v = speedOf(motion, s)
      return v === undefined ? [] : [[round(1000 * s, 2), round(v, 5)] as const]
    })
    return {
      name: `run ${i + 1}, fitted`,
      kind: 'line',
      x: known.map(([s]) => s),
      y: known.map(([, v]) => v),
      ink: 'ink',
      width: 1,
      guide: true,
    }
  })
  return {
    name: `${look.of} speed`,
    caption: 'speed, m/s against mm from the start',
    x: { label: 'position', unit: 'mm' },
    y: { label: 'speed', unit: 'm/s' },
    curves: [...lines, ...points],
  }
}

/** What the fit leaves over, along the lane: a bend recurring in all runs is the lane's, lone points are marks to look at. */
export function residualFigure(series: SeriesResult, look: Look): Figure {
  const all = series.runs.flatMap((run) => run.residuals.residual_m)
  const scatter = Math.sqrt(all.reduce((sum, r) => sum + r * r, 0) / Math.max(1, all.length))
  return {
    name: `${look.of} residuals`,
    caption: `residual, mm against mm from the start (scatter ${(1000 * scatter).toPrecision(2)})`,
    x: { label: 'position', unit: 'mm' },
    y: { label: 'residual', unit: 'mm', digits: 3 },
    lines: [{ y: 0, ink: 'line' }],
    curves: series.runs.map((run, i) => ({
      name: `run ${i + 1}`,
      kind: 'points',
      x: run.residuals.s_m.map((s) => round(1000 * s, 2)),
      y: run.residuals.residual_m.map((r) => round(1000 * r, 4)),
      ink: { lane: look.lane },
      size: 3,
    })),
  }
}
