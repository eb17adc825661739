import { useMemo } from 'react'
import { sessionStore, setSession } from '../record/session.ts'
import { recordStore } from '../record/store.ts'
import { useKeyActions, type KeyAction } from '../shell/keys.ts'
import { setSight, showWhole } from './picture-store.ts'
import { nextMarked, previousMarked } from './ruler-scale.ts'
import { zoomed } from './sight.ts'

/** Shows a frame of the current clip, kept within it. */
export function showFrame(frame: number): void {
  const { clipId } = sessionStore.getState()
  const clip = clipId === null ? undefined : recordStore.getState().record.clips[clipId]
  if (!clip) return
  setSession({ frame: Math.min(clip.frames - 1, Math.max(0, Math.round(frame))) })
}

const stepBy = (by: number) => () => showFrame(sessionStore.getState().frame + by)

/** First and last frame that matter: the trim, else the whole clip. */
function ends(): { first: number; last: number } {
  const { clipId } = sessionStore.getState()
  const clip = clipId === null ? undefined : recordStore.getState().record.clips[clipId]
  return clip?.trim ?? { first: 0, last: (clip?.frames ?? 1) - 1 }
}

/** Goes to the nearest frame that carries a mark of the chosen run, else of any run in this clip. */
function toMark(which: 'next' | 'previous'): void {
  const { clipId, runId, frame } = sessionStore.getState()
  const { runs } = recordStore.getState().record
  const chosen = runId === null ? undefined : runs[runId]
  const marked = chosen
    ? chosen.marks.frame
    : Object.values(runs)
        .filter((run) => run.clipId === clipId)
        .flatMap((run) => run.marks.frame)
        .sort((a, b) => a - b)
  const to = which === 'next' ? nextMarked(marked, frame) : previousMarked(marked, frame)
  if (to !== undefined) showFrame(to)
}

const zoomMiddle = (factor: number) => () =>
  setSight((s, picture, stage) => zoomed(s, factor, { x: stage.width / 2, y: stage.height / 2 }, picture, stage))

/** Keys of the picture, wherever the focus is. */
export function useFrameKeys(): void {
  const actions = useMemo((): readonly KeyAction[] => {
    const group = 'Picture and film ruler'
    return [
      { name: 'frame-next', label: 'One frame on', group, keys: ['ArrowRight'], run: stepBy(1) },
      { name: 'frame-back', label: 'One frame back', group, keys: ['ArrowLeft'], run: stepBy(-1) },
      { name: 'frames-next', label: 'Ten frames on', group, keys: ['Shift+ArrowRight'], run: stepBy(10) },
      { name: 'frames-back', label: 'Ten frames back', group, keys: ['Shift+ArrowLeft'], run: stepBy(-10) },
      {
        name: 'frame-first',
        label: 'First frame that matters',
        group,
        keys: ['Home'],
        run: () => showFrame(ends().first),
      },
      { name: 'frame-last', label: 'Last frame that matters', group, keys: ['End'], run: () => showFrame(ends().last) },
      { name: 'mark-next', label: 'Next mark', group, keys: ['PageDown'], run: () => toMark('next') },
      { name: 'mark-back', label: 'Previous mark', group, keys: ['PageUp'], run: () => toMark('previous') },
      { name: 'closer', label: 'Closer', group, keys: ['+', '='], run: zoomMiddle(1.4) },
      { name: 'wider', label: 'Wider', group, keys: ['-'], run: zoomMiddle(1 / 1.4) },
      { name: 'whole', label: 'The whole picture', group, keys: ['0'], run: showWhole },
    ]
  }, [])
  useKeyActions(actions)
}
