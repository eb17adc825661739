import type { FallFit } from '../../../workers/measure/free-fall.ts'
import type { Figure } from '../../plots/figure.ts'

/** The fall as marked, and the parabola through it. */
export function fallFigure(fit: FallFit, name: string): Figure {
  return {
    name: `${name} fall`,
    caption: 'fallen, mm against frames since the first mark',
    x: { label: 'frames', unit: '', digits: 5 },
    y: { label: 'fallen', unit: 'mm', digits: 5 },
    curves: [
      { name: 'parabola', kind: 'line', x: fit.time, y: fit.fitted_m.map((s) => 1000 * s), ink: 'quiet', width: 1.5 },
      { name: 'marked', kind: 'points', x: fit.time, y: fit.fallen_m.map((s) => 1000 * s), ink: 'accent', size: 5 },
    ],
  }
}
