import { relink } from '../record/clip-files.ts'
import { pickFiles, pickFolder } from '../record/record-file.ts'
import { recordStore } from '../record/store.ts'
import { say } from '../shell/messages.ts'
import { decoding } from './decoding.ts'

/** Asks for files, or takes those handed in, and finds the record's clips among them by their contents. */
export async function relinkVerb(
  chosen?: readonly { readonly file: File; readonly handle?: FileSystemFileHandle }[],
): Promise<void> {
  const files = chosen ?? (await pickFiles('video/*,image/*,.avi,.mkv,.mov,.mp4', true)).map((file) => ({ file }))
  if (files.length === 0) return
  const { found, strangers } = await relink(files, keyOf)
  const { clips } = recordStore.getState().record
  if (found.length > 0)
    say('told', `Found again: ${found.map((id) => clips[id]?.name ?? id).join(', ')}.`, { key: 'relink' })
  if (strangers.length > 0)
    say(
      'caution',
      `${strangers.map((file) => `“${file.name}”`).join(', ')} ${strangers.length === 1 ? 'belongs' : 'belong'} to no clip of this record: size or contents differ. To measure a new clip, add it on the Footage station.`,
      { key: 'relink-strangers' },
    )
}

/** Asks for a folder and finds every clip of the record that lies in it or below; other files in it are no strangers, they were not chosen. */
export async function relinkFolderVerb(): Promise<void> {
  const files = await pickFolder()
  if (files.length === 0) return
  const { found } = await relink(
    files.map((file) => ({ file })),
    keyOf,
  )
  const { clips } = recordStore.getState().record
  if (found.length > 0)
    say('told', `Found again: ${found.map((id) => clips[id]?.name ?? id).join(', ')}.`, { key: 'relink' })
  else
    say(
      'caution',
      `None of the ${files.length} files in that folder is a clip of this record: size or contents differ. Choose the folder in which the footage lies now.`,
      { key: 'relink' },
    )
}

/** The key of files as the decode thread makes it when it opens them. */
async function keyOf(files: readonly File[]): Promise<string> {
  const outcome = await decoding().openClip(files)
  if (outcome.kind !== 'open') return ''
  const { quickKey } = outcome.facts
  outcome.clip.close()
  return quickKey
}
