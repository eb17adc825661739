import { useState } from 'react'
import type { ClipFacts, OpenClip } from '../../../workers/bridge/decode-client.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { Dialog, useDialog } from '../../parts/dialog.tsx'
import { adoptClip } from '../../picture/current-clip.ts'
import { decoding } from '../../picture/decoding.ts'
import { rememberClipFiles } from '../../record/clip-files.ts'
import { pickFiles } from '../../record/record-file.ts'
import { commit, recordStore, useRecordState } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { differences, otherFileFault, takeOtherFile } from './other-file.ts'
import { sameFileAgain } from './sentences.ts'

interface Other {
  readonly facts: ClipFacts
  readonly clip: OpenClip
  readonly files: readonly File[]
}

/** Shows where a clip's file lies now, or lets a changed file stand for it: then by an explicit choice, with what differs in view. */
export function ChooseOtherFile({ clip }: { clip: Clip }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const [other, setOther] = useState<Other | null>(null)
  const dialog = useDialog(other !== null, () => {
    setOther(null)
    other?.clip.close()
  })
  const choose = async () => {
    const files = await pickFiles('video/*,image/*,.avi,.mkv,.mov,.mp4', true)
    if (files.length === 0) return
    const outcome = await decoding().openClip(files)
    if (outcome.kind !== 'open') {
      say('wrong', outcome.sentence)
      return
    }
    const { facts } = outcome
    if (facts.quickKey === clip.quickKey) {
      outcome.clip.close()
      await rememberClipFiles(clip.quickKey, files)
      say('told', sameFileAgain(clip.name), { key: 'relink' })
      return
    }
    const fault = otherFileFault(recordStore.getState().record, clip, facts)
    if (fault !== null) {
      outcome.clip.close()
      say('wrong', fault)
      return
    }
    setOther({ facts, clip: outcome.clip, files })
  }
  const take = async () => {
    if (!other) return
    const { facts, files, clip: open } = other
    setOther(null)
    await rememberClipFiles(facts.quickKey, files)
    commit(`another file for ${clip.name}`, (draft) => takeOtherFile(draft, clip.id, facts))
    adoptClip(clip.id, open)
  }
  const told = other ? differences(clip, other.facts) : []
  return (
    <>
      <div>
        <button type="button" className="button plain small-button" disabled={readOnly} onClick={() => void choose()}>
          Show where its file lies, or take another for it
        </button>
      </div>
      <Dialog
        {...dialog}
        title="Another file for this clip?"
        actions={
          <button type="button" className="button main" onClick={() => void take()}>
            Use it, keep the marks
          </button>
        }
      >
        {other && (
          <>
            <p>
              “{other.facts.name}” is not the file that was measured: its contents differ.{' '}
              {told.length === 0 && 'Frames, size and times agree.'}
            </p>
            {told.length > 0 && (
              <ul>
                {told.map((text) => (
                  <li key={text}>{text}</li>
                ))}
              </ul>
            )}
            <p>
              Marks and runs stay at their frame numbers and their places in the picture; times come from the new file.
              A lamp that was read, shake and repeated frames must be read again. Undo brings the old file back.
            </p>
          </>
        )}
      </Dialog>
    </>
  )
}
