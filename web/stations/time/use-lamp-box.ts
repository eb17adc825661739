import { useState } from 'react'
import type { Clip, Px } from '../../../workers/record/index.ts'
import { idleTool, type OverlayItem, type PictureTool } from '../../picture/overlay.ts'
import { shownAt, usePicture } from '../../picture/picture-store.ts'
import { useRecordState } from '../../record/store.ts'
import { readLamp } from './lamp-reading.ts'
import { boxBetween, usualStretch, type Stretch } from './lamp-series.ts'

export interface LampBox {
  readonly tool: PictureTool
  readonly items: readonly OverlayItem[]
  readonly drawing: boolean
  readonly draw: (drawing: boolean) => void
  /** Frames that are read when a box is drawn. */
  readonly stretch: Stretch
  readonly setStretch: (stretch: Stretch) => void
  readonly readWhole: () => void
  readonly readAgain: (stretch: Stretch) => void
}

/** The box on the picture whose brightness is read: drawn by dragging or by two presses, corrected by its corners. */
export function useLampBox(clip: Clip | null, active: boolean): LampBox {
  const readOnly = useRecordState((s) => s.readOnly)
  const [asked, draw] = useState(false)
  const [corner, setCorner] = useState<Px | null>(null)
  const [chosen, setStretch] = useState<(Stretch & { readonly clipId: string }) | null>(null)
  const drag = usePicture((s) => s.drag)
  const sweep = usePicture((s) => s.sweep)
  const picture = usePicture((s) => s.picture)
  const stretch = clip && chosen?.clipId === clip.id ? chosen : clip ? usualStretch(clip) : { first: 0, last: 0 }
  const lamp = clip?.lamp
  const drawing = active && !readOnly && clip !== null && (asked || !lamp)

  const take = (a: Px, b: Px, frames: Stretch = stretch) => {
    setCorner(null)
    draw(false)
    if (clip) void readLamp(clip, boxBetween(a, b), frames)
  }
  const common = {
    drawing,
    draw: (on: boolean) => {
      setCorner(null)
      draw(on)
    },
    stretch,
    setStretch: (to: Stretch) => clip && setStretch({ ...to, clipId: clip.id }),
    readWhole: () => picture && take({ x: 0, y: 0 }, { x: picture.width, y: picture.height }),
    readAgain: (frames: Stretch) => {
      if (lamp) take({ x: lamp.x, y: lamp.y }, { x: lamp.x + lamp.width, y: lamp.y + lamp.height }, frames)
    },
  }
  if (!active || !clip) return { ...common, tool: idleTool, items: [] }

  const ends = lamp
    ? [
        { x: lamp.x, y: lamp.y },
        { x: lamp.x + lamp.width, y: lamp.y + lamp.height },
      ]
    : []
  const shown = ends.map((at, i) => shownAt(drag, `lamp ${i}`, at))
  const items: OverlayItem[] = []
  const [a, b] = drawing && sweep ? [sweep.from, sweep.to] : drawing ? [] : shown
  if (a && b) items.push({ kind: 'outline', id: 'lamp', corners: cornersOf(a, b), labels: [] })
  if (drawing && corner && !sweep) items.push({ kind: 'crosses', id: 'lamp', points: [corner], colour, found: false })
  const tool: PictureTool = {
    says: drawing ? (corner ? saysSecond : saysFirst) : lamp && !readOnly ? saysCorrect : '',
    handles:
      drawing || readOnly
        ? []
        : ends.map((at, i) => ({
            id: `lamp ${i}`,
            at,
            label: i === 0 ? 'box, upper left' : 'box, lower right',
            colour,
          })),
    place: drawing ? (at) => (corner ? take(corner, at) : setCorner(at)) : undefined,
    sweep: drawing ? take : undefined,
    onDrop: (handle, to) => {
      const moved = Number(handle.split(' ')[1])
      const other = ends[1 - moved]
      if (other) take(to, other)
    },
    onCancel: drawing && (asked || corner) ? () => common.draw(false) : undefined,
  }
  return { ...common, tool, items }
}

const colour = 'var(--accent)'
const saysFirst = 'Drag a box around the light, or press on two of its corners.'
const saysSecond = 'Press on the opposite corner of the box.'
const saysCorrect = 'Drag a corner of the box to correct it; it is then read again.'

const cornersOf = (a: Px, b: Px): Px[] => [a, { x: b.x, y: a.y }, b, { x: a.x, y: b.y }]
