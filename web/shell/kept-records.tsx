import { useCallback, useEffect, useState } from 'react'
import { clockTime } from '../format/when.ts'
import { forgetKept, keptRecords } from '../record/kept-records.ts'
import type { KeptRecord } from '../record/journal.ts'
import { askPersistence, persistence, storageUse, type Persistence } from '../record/persistence.ts'
import { reason } from '../record/sentences.ts'
import { useRecordState } from '../record/store.ts'
import { Dialog, useDialog } from '../parts/dialog.tsx'
import { openKeptVerb } from './verbs.ts'

type KeptState =
  { kind: 'reading' } | { kind: 'read'; records: readonly KeptRecord[] } | { kind: 'refused'; why: string }

export function useKeptRecords(): KeptState & { again: () => void } {
  const [state, setState] = useState<KeptState>({ kind: 'reading' })
  const again = useCallback(() => {
    keptRecords().then(
      (records) => setState({ kind: 'read', records }),
      (cause: unknown) => setState({ kind: 'refused', why: reason(cause) }),
    )
  }, [])
  useEffect(again, [again])
  return { ...state, again }
}

/** Every record this browser keeps: go on with it, or remove its copy. */
export function KeptRecords() {
  const kept = useKeptRecords()
  return (
    <div className="page">
      <h1>Kept records</h1>
      <p>
        This browser keeps every record you change, at once and by itself, so that a crash or a closed tab loses
        nothing. It is no substitute for a file: clearing the browser’s data clears these copies too.
      </p>
      {kept.kind === 'refused' && (
        <p className="caution">The browser refuses its storage: {kept.why}. Save to a file instead.</p>
      )}
      {kept.kind === 'read' && kept.records.length === 0 && (
        <p className="quiet">None yet. A record appears here with its first change.</p>
      )}
      {kept.kind === 'read' && kept.records.length > 0 && <KeptList records={kept.records} onForgotten={kept.again} />}
      <StorageFacts />
    </div>
  )
}

export function KeptList({ records, onForgotten }: { records: readonly KeptRecord[]; onForgotten?: () => void }) {
  const openId = useRecordState((state) => state.record.id)
  const [asked, setAsked] = useState<KeptRecord | null>(null)
  const dialog = useDialog(asked !== null, () => setAsked(null))
  return (
    <div className="table-scroll">
      <table className="kept">
        <thead>
          <tr>
            <th scope="col">record</th>
            <th scope="col">last change</th>
            <th scope="col" className="number">
              clips
            </th>
            <th scope="col" className="number">
              lanes
            </th>
            <th scope="col" className="number">
              runs
            </th>
            <th scope="col">file</th>
            {onForgotten && (
              <th scope="col">
                <span className="only-read-aloud">remove</span>
              </th>
            )}
          </tr>
        </thead>
        <tbody>
          {records.map((record) => (
            <tr key={record.id}>
              <td>
                <button type="button" className="link" onClick={() => void openKeptVerb(record.id, record.title)}>
                  {record.title || 'Untitled record'}
                </button>
                {record.id === openId && <span className="quiet"> (open here)</span>}
              </td>
              <td>{clockTime(record.changedAt)}</td>
              <td className="number">{record.counts.clips}</td>
              <td className="number">{record.counts.lanes}</td>
              <td className="number">{record.counts.runs}</td>
              <td>
                {record.file === null
                  ? 'not saved to a file'
                  : record.file.seq === record.seq
                    ? `${record.file.name}, ${clockTime(record.file.at)}`
                    : `changed since ${record.file.name}, ${clockTime(record.file.at)}`}
              </td>
              {onForgotten && (
                <td className="number">
                  <button
                    type="button"
                    className="button"
                    disabled={record.id === openId}
                    aria-label={`Remove the copy of ${record.title}`}
                    onClick={() => setAsked(record)}
                  >
                    Remove
                  </button>
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <Dialog
        {...dialog}
        title="Remove this copy?"
        actions={
          <button
            type="button"
            className="button main"
            onClick={() => {
              if (asked) void forgetKept(asked.id).then(() => onForgotten?.())
              setAsked(null)
            }}
          >
            Remove the copy
          </button>
        }
      >
        <p>
          “{asked?.title}”{' '}
          {asked?.file
            ? `was last saved to ${asked.file.name}; that file stays.`
            : 'was never saved to a file: once removed it is gone.'}
        </p>
      </Dialog>
    </div>
  )
}

/** Whether the browser may clear these copies by itself, and how full its storage is. */
function StorageFacts() {
  const [promise, setPromise] = useState<Persistence>('unknown')
  const [use, setUse] = useState<{ used_bytes: number; most_bytes: number }>()
  useEffect(() => {
    void persistence().then(setPromise)
    void storageUse().then(setUse)
  }, [])
  const megabytes = (bytes: number) => `${Math.round(bytes / 1e6).toLocaleString()} MB`
  return (
    <section>
      <h2>How safe are they?</h2>
      {promise === 'kept' && <p>The browser has promised to keep them even when the disk runs short of space.</p>}
      {promise === 'may-be-cleared' && (
        <>
          <p>
            When the disk runs short of space, the browser may clear them without asking. It can be asked to promise not
            to.
          </p>
          <p>
            <button type="button" className="button" onClick={() => void askPersistence().then(setPromise)}>
              Ask the browser to keep them
            </button>
          </p>
        </>
      )}
      {promise === 'unknown' && (
        <p>This browser does not say whether it may clear them. Save what matters to a file.</p>
      )}
      {use && (
        <p className="quiet">
          {megabytes(use.used_bytes)} in use of {megabytes(use.most_bytes)} this page may use.
        </p>
      )}
    </section>
  )
}
