import type { Clip, SlowlaneRecord } from '../../../workers/record/index.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { assignView, pictureOf } from './clip-edits.ts'
import { addView, viewsOfSize } from './view-edits.ts'

const aNewOne = 'new view'

/** From which camera position the clip was filmed: time, scale and lane lines belong to the position and serve all its clips. */
export function ViewChoice({ clip }: { clip: Clip }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const view = record.views[clip.viewId]
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
