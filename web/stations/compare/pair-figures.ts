import type { Comparison } from '../../../workers/decide/compare.ts'
import type { LocalDifference } from '../../../workers/decide/local-difference.ts'
import type { DisplayUnit } from '../../format/units.ts'
import type { Figure } from '../../plots/figure.ts'

/** Every run of both sides on one line each: how much runs differ by themselves, and how far the sides lie apart. */
export function runsFigure(
  comparison: Comparison,
  names: readonly [string, string],
  look: { readonly lane: number; readonly unit: DisplayUnit; readonly label: string; readonly of: string },
): Figure {
  const { unit } = look
  const sides = [comparison.perRun.first, comparison.perRun.second] as const
  return {
    name: `${look.of} runs of both sides`,
    caption: `${look.label} of each run${unit.label === '' ? '' : `, ${unit.label}`}`,
    x: { label: look.label, unit: unit.label, digits: 4, ticks: 4 },
    y: { label: 'side', unit: '', names: [...names], range: [-0.7, 1.7], drawn: false },
    curves: sides.map((values, side) => ({
      name: names[side]!,
      kind: 'rows',
      x: values.map((value) => value / unit.si),
      y: values.map(() => side),
      ink: { lane: look.lane },
      size: 8,
      open: side === 0,
      direct: names[side]!,
      directAt: values.indexOf(Math.max(...values)),
    })),
  }
}

/** Change of resistance stretch by stretch. */
export function whereFigure(
  stretches: readonly LocalDifference[],
  look: { readonly lane: number; readonly of: string },
): Figure {
  const edges = [...stretches.map(({ from_m }) => from_m * 1000), (stretches.at(-1)?.to_m ?? 0) * 1000]
  const column = (value: (stretch: LocalDifference) => number) => {
    const values = stretches.map(value)
    return [...values, values.at(-1) ?? 0]
  }
  return {
    name: `${look.of} change along the lane`,
    caption: 'change of C_rr along the lane, mm from its start',
    x: { label: 'position', unit: 'mm' },
    y: { label: 'change of C_rr', unit: '', digits: 2, ticks: 4 },
    lines: [{ y: 0, ink: 'line' }],
    curves: [
      {
        name: 'change',
        kind: 'treads',
        x: edges,
        y: column(({ difference }) => difference.value),
        low: column(({ difference }) => difference.interval[0]),
        high: column(({ difference }) => difference.interval[1]),
        asBand: true,
        ink: { lane: look.lane },
        width: 2,
      },
    ],
  }
}
