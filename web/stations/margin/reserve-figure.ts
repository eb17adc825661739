import type { EnergyLine } from '../../../workers/decide/energy-line.ts'
import type { Figure } from '../../plots/figure.ts'

const mm = (values: readonly number[]): number[] => values.map((value) => Number((1000 * value).toFixed(4)))

/** The lane's profile with the energy line above it; their gap is the reserve. */
export function reserveFigure(
  energy: EnergyLine,
  look: { readonly lane: number; readonly dash: string | undefined; readonly of: string; readonly share: string },
): Figure {
  const { smallest, least_m } = energy
  const at_m = mm(energy.at_m)
  const reserve = smallest.least_m ?? smallest.reserve_m
  const place = energy.at_m.indexOf(smallest.at_m)
  const right = place > at_m.length / 2
  return {
    name: `${look.of} reserve`,
    caption:
      'height of the ball’s centre above the exit, and what its motion is still worth, mm against mm from the start',
    x: { label: 'position', unit: 'mm' },
    y: { label: 'height', unit: 'mm', ticks: 5 },
    curves: [
      {
        name: 'energy line',
        kind: 'line',
        x: at_m,
        y: mm(energy.energy_m),
        ink: 'accent',
        width: 2,
        direct: 'energy line',
        directAt: Math.floor(at_m.length * 0.55),
      },
      ...(least_m
        ? [
            {
              name: `at least, for ${look.share} of balls`,
              kind: 'line' as const,
              x: at_m,
              y: mm(least_m),
              ink: 'accent' as const,
              dash: '3 3',
              width: 1.2,
            },
          ]
        : []),
      {
        name: 'profile',
        kind: 'line',
        x: at_m,
        y: mm(energy.profile_m),
        ink: { lane: look.lane },
        dash: look.dash,
        width: 2.2,
        direct: 'lane',
        directAt: Math.floor(at_m.length * 0.55),
      },
    ],
    lines: [{ x: 1000 * smallest.at_m, ink: 'accent', dash: '2 3' }],
    notes: [
      {
        x: at_m[place] ?? 0,
        y: 1000 * Math.min(...energy.profile_m),
        text: `smallest reserve ${(1000 * reserve).toPrecision(2)} mm at ${Math.round(1000 * smallest.at_m)} mm`,
        ink: 'accent',
        place: right ? 'left' : 'right',
      },
    ],
  }
}
