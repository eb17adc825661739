import { useId, useState } from 'react'
import { commit, useRecordState } from '../record/store.ts'

const longest = 200

/** The record's title, edited in place: one entry when the field is left, Esc brings back the old one. */
export function TitleField() {
  const title = useRecordState((state) => state.record.title)
  const readOnly = useRecordState((state) => state.readOnly)
  const [typed, setTyped] = useState<string | null>(null)
  const id = useId()
  const keep = () => {
    const next = typed?.trim()
    setTyped(null)
    if (next !== undefined && next !== '' && next !== title)
      commit('change title', (draft) => {
        draft.title = next
      })
  }
  return (
    <span className="title-field">
      <label className="only-read-aloud" htmlFor={id}>
        Title of the record
      </label>
      <input
        id={id}
        value={typed ?? title}
        maxLength={longest}
        readOnly={readOnly}
        spellCheck={false}
        autoComplete="off"
        onChange={(event) => setTyped(event.target.value)}
        onBlur={keep}
        onKeyDown={(event) => {
          if (event.key === 'Enter') event.currentTarget.blur()
          if (event.key === 'Escape') setTyped(null)
        }}
      />
    </span>
  )
}
