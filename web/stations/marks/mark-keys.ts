import { sessionStore } from '../../record/session.ts'
import { recordStore } from '../../record/store.ts'
import { hundredth } from '../../picture/overlay.ts'
import type { KeyAction } from '../../shell/keys.ts'
import { markAt } from './mark-columns.ts'
import { deleteMark, dragMark } from './marking.ts'
import { acceptAndGoOn, removeAndGoOn, toUnsure } from './review.ts'
import { isUnsure } from './run-edits.ts'

interface Situation {
  readonly runId: string | null
  /** Puts the mark at the expected place; null while nothing is expected. */
  readonly accept: (() => void) | null
}

/** Keys of the Marks station, wherever the focus is. */
export function markKeys({ runId, accept }: Situation): readonly KeyAction[] {
  const group = 'Marks'
  const nudge = (dx: number, dy: number) => () => {
    const { frame } = sessionStore.getState()
    const run = runId === null ? undefined : recordStore.getState().record.runs[runId]
    const mark = run && markAt(run.marks, frame)
    if (run && mark) dragMark(run.id, frame, hundredth({ x: mark.x + dx, y: mark.y + dy }))
  }
  return [
    {
      name: 'accept',
      label: 'Mark the expected place, or accept the unsure mark',
      group,
      keys: ['Enter'],
      run: () => {
        if (!acceptAndGoOn()) accept?.()
      },
    },
    { name: 'nudge-left', label: 'Nudge the mark left 0.1 px', group, keys: ['Alt+ArrowLeft'], run: nudge(-0.1, 0) },
    { name: 'nudge-right', label: 'Nudge the mark right 0.1 px', group, keys: ['Alt+ArrowRight'], run: nudge(0.1, 0) },
    { name: 'nudge-up', label: 'Nudge the mark up 0.1 px', group, keys: ['Alt+ArrowUp'], run: nudge(0, -0.1) },
    { name: 'nudge-down', label: 'Nudge the mark down 0.1 px', group, keys: ['Alt+ArrowDown'], run: nudge(0, 0.1) },
    {
      name: 'delete-mark',
      label: 'Take away the mark of this frame',
      group,
      keys: ['Delete', 'Backspace'],
      run: () => {
        const { frame } = sessionStore.getState()
        const run = runId === null ? undefined : recordStore.getState().record.runs[runId]
        const mark = run && markAt(run.marks, frame)
        if (mark && isUnsure(mark.doubt)) removeAndGoOn()
        else if (run && mark) deleteMark(run.id, frame)
      },
    },
    { name: 'next-unsure', label: 'Next unsure mark of this clip', group, keys: ['n'], run: () => toUnsure() },
    { name: 'previous-unsure', label: 'Previous unsure mark', group, keys: ['p'], run: () => toUnsure(-1) },
    { name: 'is-right', label: 'The unsure mark is right', group, keys: ['y'], run: () => acceptAndGoOn() },
  ]
}
