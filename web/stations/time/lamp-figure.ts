import type { Figure } from '../../plots/figure.ts'
import type { LampSeries } from './lamp-series.ts'

/** Points of a series that a plot needs: more than a screen has columns are thinned for drawing, never for measuring. */
const mostDrawn = 1200

/** Brightness over frames as it was read. */
export function lampFigure(lamp: LampSeries, name: string): Figure {
  const step = Math.max(1, Math.ceil(lamp.luma.length / mostDrawn))
  const kept = lamp.luma.flatMap((_, i) => (i % step === 0 ? [i] : []))
  return {
    name: `${name} brightness`,
    caption: 'brightness of the box, grey levels against frame',
    x: { label: 'frame', unit: '', digits: 6 },
    y: { label: 'brightness', unit: 'grey levels', digits: 4 },
    curves: [
      {
        name: 'brightness',
        kind: step === 1 ? 'line-and-points' : 'line',
        x: kept.map((i) => lamp.fromFrame + i),
        y: kept.map((i) => lamp.luma[i]!),
        ink: 'accent',
        size: 3,
        width: 1,
      },
    ],
  }
}
