import { useState } from 'react'
import { chooseClip } from '../../picture/clip-line.tsx'
import { Dialog, useDialog } from '../../parts/dialog.tsx'
import { useSession } from '../../record/session.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { pickFiles } from '../../record/record-file.ts'
import { offerFootage } from '../../record/incoming.ts'
import { pickFootageVerb } from '../../shell/verbs.ts'
import { removeClip } from './clip-edits.ts'
import { removeClipSentence } from './sentences.ts'

/** The clips of the record; choosing one brings it to the picture. */
export function ClipList() {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const current = useSession((s) => s.clipId)
  const [leaving, setLeaving] = useState<string | null>(null)
  const dialog = useDialog(leaving !== null, () => setLeaving(null))
  const clips = Object.values(record.clips)
  const runsIn = (id: string) => Object.values(record.runs).filter((run) => run.clipId === id).length
  const remove = (id: string) => {
    commit(`remove clip ${record.clips[id]?.name ?? ''}`, (draft) => removeClip(draft, id))
    setLeaving(null)
  }
  return (
    <section aria-labelledby="clips-head">
      <h2 id="clips-head">Clips</h2>
      {clips.length > 0 && (
        <table className="choose-table">
          <thead>
            <tr>
              <th scope="col">clip</th>
              <th scope="col" className="number">
                frames
              </th>
              <th scope="col" className="number">
                runs
              </th>
              <th scope="col">
                <span className="only-read-aloud">remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {clips.map((clip) => (
              <tr key={clip.id} className={clip.id === current ? 'chosen' : undefined}>
                <td>
                  <button
                    type="button"
                    className="row-button"
                    aria-pressed={clip.id === current}
                    onClick={() => chooseClip(clip.id, record.clips)}
                  >
                    {clip.name}
                  </button>
                </td>
                <td className="number">{clip.frames}</td>
                <td className="number">{runsIn(clip.id)}</td>
                <td className="number">
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Remove ${clip.name}`}
                    onClick={() => (runsIn(clip.id) === 0 ? remove(clip.id) : setLeaving(clip.id))}
                  >
                    remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <div className="button-row">
        <button
          type="button"
          className={clips.length === 0 ? 'button main' : 'button'}
          disabled={readOnly}
          onClick={() => void pickFootageVerb()}
        >
          {clips.length === 0 ? 'Pick footage' : 'Add clips'}
        </button>
        <button type="button" className="button" disabled={readOnly} onClick={() => void pickStills()}>
          Numbered stills
        </button>
      </div>
      <p className="small quiet">Or drop files anywhere. They are read where they lie and never leave this machine.</p>
      <Dialog
        {...dialog}
        title="Remove the clip?"
        actions={
          <button type="button" className="button main" onClick={() => leaving && remove(leaving)}>
            Remove clip and runs
          </button>
        }
      >
        <p>{leaving && removeClipSentence(record.clips[leaving]?.name ?? '', runsIn(leaving))}</p>
      </Dialog>
    </section>
  )
}

async function pickStills(): Promise<void> {
  offerFootage((await pickFiles('image/png,image/jpeg', true)).map((file) => ({ file })))
}
