import { sameView, type ViewAgreement } from '../../../workers/measure/same-view.ts'
import type { Clip, SlowlaneRecord } from '../../../workers/record/index.ts'
import { commit, recordStore } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { assignView, pictureOf } from './clip-edits.ts'
import { backgroundOf, type StillBackgroundOf } from './still-backgrounds.ts'
import { ownPosition, samePosition, sameViewTaken, touchedPosition } from './sentences.ts'
import { addView, viewsOfSize } from './view-edits.ts'

const asPatch = ({ width, height, luma }: StillBackgroundOf) => ({ x0: 0, y0: 0, width, height, luma })

/** Whether two clips were filmed from one position, by their still backgrounds; null where a file is not at hand. */
export async function compareClips(a: Clip, b: Clip): Promise<ViewAgreement | null> {
  const [one, other] = [await backgroundOf(a), await backgroundOf(b)]
  return one && other ? sameView(asPatch(one), asPatch(other)) : null
}

/** The newest other clip of each camera position that could serve a clip, newest position first. */
export function neighbours(record: SlowlaneRecord, clip: Clip): Clip[] {
  const others = Object.values(record.clips)
    .filter((other) => other.id !== clip.id)
    .sort((a, b) => (b.addedAt ?? '').localeCompare(a.addedAt ?? ''))
  return viewsOfSize(record, pictureOf(clip))
    .flatMap((view) => others.find((other) => other.viewId === view.id) ?? [])
    .sort((a, b) => others.indexOf(a) - others.indexOf(b))
}

/** A new clip took the last position for its own: the still backgrounds confirm it, find another that fits, or give it one of its own. */
export async function settlePosition(clipId: string): Promise<void> {
  const { record } = recordStore.getState()
  const clip = record.clips[clipId]
  if (!clip) return
  let moved: { readonly other: Clip; readonly agreement: Extract<ViewAgreement, { kind: 'moved' }> } | null = null
  let different = 0
  const near = neighbours(record, clip)
  for (const other of near) {
    const agreement = await compareClips(clip, other)
    if (agreement?.kind === 'same') return take(clip, other, agreement)
    if (agreement?.kind === 'moved') moved ??= { other, agreement }
    if (agreement?.kind === 'different') different++
  }
  if (moved) {
    setPosition(clip.id, moved.other.viewId, `camera position of ${clip.name}`)
    say('caution', touchedPosition(clip.name, moved.other.name, moved.agreement), { key: 'same-view' })
  } else if (different === near.length && near.length > 0) {
    ownView(clip)
    say('caution', ownPosition(clip.name, near[0]!.name), {
      key: 'same-view',
      action: {
        label: 'Use its set-up all the same',
        run: () => setPosition(clip.id, near[0]!.viewId, 'use the set-up'),
      },
    })
  } else say('caution', sameViewTaken(clip.name), { key: 'same-view' })
}

function take(clip: Clip, other: Clip, agreement: Extract<ViewAgreement, { kind: 'same' }>): void {
  setPosition(clip.id, other.viewId, `camera position of ${clip.name}`)
  say('told', samePosition(clip.name, other.name, agreement), {
    key: 'same-view',
    action: { label: 'A position of its own instead', run: () => ownView(clip) },
  })
}

function setPosition(clipId: string, viewId: string, what: string): void {
  const { record } = recordStore.getState()
  if (!record.views[viewId] || record.clips[clipId]?.viewId === viewId) return
  commit(what, (draft) => assignView(draft, clipId, viewId))
}

function ownView(clip: Clip): void {
  commit(`a camera position of its own for ${clip.name}`, (draft) => {
    const held = draft.clips[clip.id]
    if (held) assignView(draft, clip.id, addView(draft, pictureOf(held)))
  })
}
