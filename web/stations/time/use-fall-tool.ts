import { useMemo, useRef, useState } from 'react'
import { fallFit, fewestFallMarks, type FallFit, type FallProblem } from '../../../workers/measure/free-fall.ts'
import { noDeviations, type Clip, type Px, type View } from '../../../workers/record/index.ts'
import { ticksAt } from '../../picture/clip-time.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { useFrames } from '../../picture/frame-store.ts'
import { idleTool, type OverlayItem, type PictureTool } from '../../picture/overlay.ts'
import { sessionStore, useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { isSettling, settle } from '../marks/settling.ts'
import { expectedFall, fallClock, noFallMarks, withFallMark, withoutFallMark, type FallMarks } from './fall-marks.ts'
import { clockOf, setClock, withClock } from './time-edits.ts'

export interface FallTool {
  readonly tool: PictureTool
  readonly items: readonly OverlayItem[]
  readonly marks: FallMarks
  readonly planeId: string | null
  /** The parabola through the marks, or why there is none; null with too few. */
  readonly fit: FallFit | FallProblem | null
  readonly marking: boolean
  readonly setMarking: (on: boolean) => void
  readonly setPlane: (planeId: string) => void
  readonly setMarks: (marks: FallMarks) => void
  /** Makes the fall the view's clock. */
  readonly take: () => void
  /** Why the last press did not settle on an outline; null when it did. */
  readonly said: string | null
}

/** Marks a falling ball, frame by frame; they enter the record when the fall is taken as clock, and then with each change. */
export function useFallTool(clip: Clip | null, view: View | undefined, active: boolean): FallTool {
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const shown = useFrames((s) => s.shown)
  const { facts } = useCurrentClip()
  const [marking, setMarking] = useState(false)
  const [pending, setPending] = useState<{ clipId: string; marks: FallMarks } | null>(null)
  const [plane, choosePlane] = useState<string | null>(null)
  const [said, setSaid] = useState<string | null>(null)
  const busy = useRef(false)

  const recorded = view ? clockOf(view, 'free-fall') : null
  const here = clip && recorded?.clipId === clip.id ? recorded : null
  const marks: FallMarks = here ?? (clip && pending?.clipId === clip.id ? pending.marks : noFallMarks)
  const planeId = here?.planeId ?? plane ?? Object.keys(view?.planes ?? {})[0] ?? null
  const record = useRecord((r) => r)
  const fit = useMemo(() => {
    if (!active || !clip || !view || planeId === null || marks.frames.length < fewestFallMarks) return null
    const clock = fallClock(clip.id, planeId, marks)
    return fallFit(record, withClock(view, clock), clip, clock, noDeviations)
  }, [active, record, view, clip, planeId, marks])

  const put = (next: FallMarks, plane: string | null, what: string) => {
    if (!clip || !view) return
    if (!here) return setPending({ clipId: clip.id, marks: next })
    if (plane === null) return
    commit(what, (draft) => {
      const held = draft.views[view.id]
      if (held) setClock(held, fallClock(clip.id, plane, next))
    })
  }
  const setMarks = (next: FallMarks) => put(next, planeId, 'mark the falling ball')
  const common = {
    marks,
    planeId,
    fit,
    marking,
    setMarking,
    setMarks,
    setPlane: (id: string) => (here ? put(marks, id, 'plane of the fall') : choosePlane(id)),
    take: () => {
      if (!clip || !view || planeId === null || marks.frames.length < fewestFallMarks) return
      commit('measure the filming rate', (draft) => {
        const held = draft.views[view.id]
        if (held) setClock(held, fallClock(clip.id, planeId, marks))
      })
      setPending(null)
    },
    said,
  }
  if (!active || !clip) return { ...common, tool: idleTool, items: [] }

  const onShow = shown?.clipId === clip.id && shown.frame === frame
  const place = async (at: Px, exact: boolean) => {
    if (!onShow || busy.current) return
    busy.current = true
    try {
      const settled = exact || !isSettling() ? null : await settle(clip, frame, at, null, undefined)
      if (sessionStore.getState().frame !== frame) return
      setSaid(settled?.kind === 'unsure' ? `Marked exactly where you pressed. ${settled.says}` : null)
      const to = settled?.kind === 'settled' ? settled.at : at
      setMarks(withFallMark(marks, frame, ticksAt(clip, facts?.ticks ?? null, frame), to))
      showFrame(frame + sessionStore.getState().everyNth)
    } finally {
      busy.current = false
    }
  }
  const now = marks.frames.indexOf(frame)
  const at = marks.points[now]
  const others = marks.points.filter((_, i) => i !== now)
  const expected = marking && !at ? expectedFall(marks, frame) : undefined
  const items: OverlayItem[] = [{ kind: 'dots', id: 'fall', points: others, colour }]
  if (expected) items.push({ kind: 'ring', id: 'fall-next', at: expected, radius_px: 12, colour, label: 'expected' })
  const tool: PictureTool = {
    says: marking && !readOnly ? 'Press on the centre of the falling ball.' : '',
    place: marking && !readOnly ? (p, { exact }) => void place(p, exact) : undefined,
    begin: expected,
    handles: at && !readOnly ? [{ id: 'fall', at, label: `falling ball on frame ${frame}`, colour }] : [],
    onDrop: (_, to) => setMarks(withFallMark(marks, frame, marks.ticks[now] ?? ticksAt(clip, null, frame), to)),
    onDelete: () => setMarks(withoutFallMark(marks, frame)),
    onCancel: marking ? () => setMarking(false) : undefined,
  }
  return { ...common, tool, items }
}

const colour = 'var(--accent)'
