import type { ShakeTrack } from '../../../workers/record/index.ts'
import type { Figure } from '../../plots/figure.ts'

/** More points than this are thinned in the plot and its table: a shake is smooth. */
const most = 600

/** Shift and turn of a clip's picture, frame by frame; the turn as what it moves at the picture's corner, in px too. */
export function shakeFigure(track: ShakeTrack, clipName: string, corner_px: number): Figure {
  const every = Math.max(1, Math.ceil(track.frames.length / most))
  const thin = <T>(column: readonly T[]): T[] => column.filter((_, i) => i % every === 0)
  const x = thin(track.frames)
  const px = (value: number) => Number(value.toFixed(3))
  const U = x.map(() => Number((2 * track.u_px).toPrecision(2)))
  return {
    name: `${clipName} shake`,
    caption: 'how far the picture went, px against frame',
    x: { label: 'frame', unit: '', digits: 6 },
    y: { label: 'shift', unit: 'px', digits: 4 },
    lines: [{ y: 0, ink: 'line' }],
    curves: [
      {
        name: 'to the right',
        kind: 'line',
        x,
        y: thin(track.dx).map(px),
        U,
        asBand: true,
        ink: 'accent',
        direct: 'right',
      },
      {
        name: 'down',
        kind: 'line',
        x,
        y: thin(track.dy).map(px),
        U,
        asBand: true,
        ink: 'caution',
        dash: '6 3',
        direct: 'down',
      },
      {
        name: 'by its turn, at a corner',
        kind: 'line',
        x,
        y: thin(track.turn_rad).map((turn) => px(turn * corner_px)),
        ink: 'quiet',
        dash: '2 2',
        direct: 'turn',
      },
    ],
  }
}

/** Greatest distance that any corner of the picture was moved [px]. */
export function greatestShift_px(track: ShakeTrack, corner_px: number): number {
  return track.frames.reduce(
    (most, _, i) => Math.max(most, Math.hypot(track.dx[i]!, track.dy[i]!) + Math.abs(track.turn_rad[i]!) * corner_px),
    0,
  )
}
