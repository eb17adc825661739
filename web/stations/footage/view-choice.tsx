import { useState } from 'react'
import { sentenceForView } from '../../../workers/measure/note-sentences.ts'
import type { Clip, SlowlaneRecord } from '../../../workers/record/index.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { assignView, pictureOf } from './clip-edits.ts'
import { compareClips, neighbours } from './same-position.ts'
import { addView, viewsOfSize } from './view-edits.ts'

const aNewOne = 'new view'

interface Compared {
  readonly other: Clip
  readonly text: string
  readonly same: boolean
}

/** From which camera position the clip was filmed: time, scale and lane lines belong to the position and serve all its clips. */
export function ViewChoice({ clip }: { clip: Clip }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const view = record.views[clip.viewId]
  const near = neighbours(record, clip)
  const [comparing, setComparing] = useState(false)
  const [told, setTold] = useState<{ clipId: string; rows: readonly Compared[] } | null>(null)
  const said = told?.clipId === clip.id ? told.rows : []
  const compare = async () => {
    setComparing(true)
    try {
      const rows: Compared[] = []
      for (const other of near) {
        const agreement = await compareClips(clip, other)
        const text = agreement ? sentenceForView(agreement) : 'its file is not at hand, so nothing can be compared.'
        rows.push({ other, text, same: agreement?.kind === 'same' })
      }
      setTold({ clipId: clip.id, rows })
    } finally {
      setComparing(false)
    }
  }
  if (!view) return null
  const size = pictureOf(clip)
  const choose = (to: string) => {
    if (to === clip.viewId) return
    commit(to === aNewOne ? `new camera position for ${clip.name}` : `camera position of ${clip.name}`, (draft) =>
      assignView(draft, clip.id, to === aNewOne ? addView(draft, size) : to),
    )
  }
  return (
    <section aria-labelledby="view-head">
      <h2 id="view-head">Camera position</h2>
      <SelectField
        label="Filmed from"
        value={clip.viewId}
        disabled={readOnly}
        choices={[
          ...viewsOfSize(record, size).map((v) => ({
            value: v.id,
            label: `${v.name}${others(record, v.id, clip.id)}`,
          })),
          { value: aNewOne, label: 'another position, not set up yet' },
        ]}
        hint="Time, scale and lane lines belong to the position: clips filmed from the same one need no new set-up."
        onChange={choose}
      />
      {near.length > 0 && (
        <div>
          <button type="button" className="button" disabled={comparing} onClick={() => void compare()}>
            {comparing ? 'Comparing …' : 'Compare the still backgrounds'}
          </button>
        </div>
      )}
      {said.length > 0 && (
        <ul className="small" aria-live="polite">
          {said.map(({ other, text, same }) => (
            <li key={other.id}>
              With “{other.name}”: {text}{' '}
              {same && other.viewId !== clip.viewId && (
                <button type="button" className="link" disabled={readOnly} onClick={() => choose(other.viewId)}>
                  Use its set-up
                </button>
              )}
            </li>
          ))}
        </ul>
      )}
      <TextField
        label="Name of this position"
        value={view.name}
        readOnly={readOnly}
        onChange={(name) => {
          if (name)
            commit('name the camera position', (draft) => {
              const held = draft.views[view.id]
              if (held) held.name = name
            })
        }}
      />
    </section>
  )
}

function others(record: SlowlaneRecord, viewId: string, clipId: string): string {
  const names = Object.values(record.clips).filter((c) => c.viewId === viewId && c.id !== clipId)
  if (names.length === 0) return ''
  return names.length === 1 ? `, with ${names[0]!.name}` : `, with ${names.length} other clips`
}
