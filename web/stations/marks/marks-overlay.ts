import type { Px, Run, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { laneStroke } from '../../picture/lane-stroke.ts'
import type { OverlayItem } from '../../picture/overlay.ts'
import { lineItems } from '../../picture/view-overlay.ts'
import { ballRadius_px, usualRing_px } from './ball-radius.ts'
import { placeOf } from './mark-columns.ts'
import { isUnsure } from './run-edits.ts'
import { thinned } from './thinned.ts'

/** Marks on either side of the frame that are drawn as crosses; the rest of the run is dots, so that the footage stays in view. */
const crossesEachSide = 5
/** Dots nearer to each other than this are one [CSS px]. */
const dotsApart_px = 4
/** Flags nearer to each other than this are one [CSS px]. */
const flagsApart_px = 12

interface Looked {
  readonly record: SlowlaneRecord
  readonly view: View
  readonly clipId: string
  readonly frame: number
  /** The run at work; null: all runs, each by its mark on this frame. */
  readonly run: Run | null
  readonly laneId: string | undefined
  readonly expected: Px | undefined
  readonly scale: number
}

/** Lane lines, marks and the expected place over one frame. */
export function marksOverlay({ record, view, clipId, frame, run, laneId, expected, scale }: Looked): OverlayItem[] {
  const marks = run ? ofRun(record, run, frame, scale) : onFrame(record, clipId, frame)
  const ring: OverlayItem[] =
    expected && run
      ? [
          {
            kind: 'ring',
            id: 'expected',
            at: expected,
            radius_px: ballRadius_px(record, view.id, run.laneId, run.ballId, expected) ?? usualRing_px,
            colour: laneStroke(record, run.laneId).colour,
            label: 'expected',
          },
        ]
      : []
  return [...lineItems(record, view, laneId), ...marks, ...ring]
}

function ofRun(record: SlowlaneRecord, run: Run, frame: number, scale: number): OverlayItem[] {
  const { colour } = laneStroke(record, run.laneId)
  const { marks, id } = run
  const { index, there } = placeOf(marks.frame, frame)
  const from = Math.max(0, index - crossesEachSide)
  const to = index + crossesEachSide + (there ? 1 : 0)
  const at = (i: number): Px => ({ x: marks.x[i]!, y: marks.y[i]! })
  const all = marks.frame.map((_, i) => i)
  // The mark of this frame is a handle and drawn as one.
  const near = all.slice(from, to).filter((i) => marks.frame[i] !== frame)
  const far = [...all.slice(0, from), ...all.slice(to)]
  const unsure = all.filter((i) => isUnsure(marks.doubt[i]!))
  return [true, false]
    .flatMap((found): OverlayItem[] => {
      const own = (list: readonly number[]): number[] => list.filter((i) => (marks.origin[i] === 'found') === found)
      const whose = `${id} ${found ? 'found' : 'by hand'}`
      return [
        { kind: 'dots', id: whose, points: thinned(own(far).map(at), dotsApart_px / scale), colour, found },
        { kind: 'crosses', id: whose, points: own(near).map(at), colour, found },
      ]
    })
    .concat({ kind: 'flags', id, points: thinned(unsure.map(at), flagsApart_px / scale), colour })
}

function onFrame(record: SlowlaneRecord, clipId: string, frame: number): OverlayItem[] {
  return Object.values(record.runs).flatMap((run): OverlayItem[] => {
    const { index, there } = placeOf(run.marks.frame, frame)
    if (run.clipId !== clipId || !there) return []
    const points = [{ x: run.marks.x[index]!, y: run.marks.y[index]! }]
    const { colour } = laneStroke(record, run.laneId)
    const cross: OverlayItem = {
      kind: 'crosses',
      id: run.id,
      points,
      colour,
      found: run.marks.origin[index] === 'found',
    }
    return isUnsure(run.marks.doubt[index]!) ? [cross, { kind: 'flags', id: run.id, points, colour }] : [cross]
  })
}
