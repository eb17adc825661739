import type { Clip, View } from '../../../workers/record/index.ts'
import { useSheets } from '../../picture/streak/sheet-store.ts'
import { useRecordState } from '../../record/store.ts'
import { readLanes } from './finding.ts'

/** The tool marks every passage of every lane; what it has to say about the search stands below. */
export function FindRuns({ clip, view, ready }: { readonly clip: Clip; readonly view: View; readonly ready: boolean }) {
  const sheets = useSheets()
  const readOnly = useRecordState((s) => s.readOnly)
  if (Object.keys(view.lines).length === 0) return null
  return (
    <section aria-label="Find runs">
      <button
        type="button"
        className="button main"
        disabled={!ready || readOnly || sheets.reading}
        onClick={() => void readLanes(clip, view, true)}
      >
        Find runs
      </button>
      {sheets.clipId === clip.id && sheets.notes.length > 0 && (
        <ul className="search-notes">
          {sheets.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
    </section>
  )
}
