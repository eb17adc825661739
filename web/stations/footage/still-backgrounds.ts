import type { JobResult } from '../../../workers/bridge/decode-client.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { decoding } from '../../picture/decoding.ts'
import { fileFor } from '../../record/clip-files.ts'

export type StillBackgroundOf = NonNullable<JobResult<'still-background'>>

/** The last few backgrounds: comparing one clip with several reads it once. */
const kept = new Map<string, StillBackgroundOf>()
const mostKept = 4

/** What stands still in a clip's picture; null where its file is not at hand or cannot be read. */
export async function backgroundOf(clip: Clip): Promise<StillBackgroundOf | null> {
  const known = kept.get(clip.quickKey)
  if (known) return known
  const stretch = { first: clip.trim?.first ?? 0, last: clip.trim?.last ?? clip.frames - 1 }
  const found = await withClip(clip, (open) => open.run('still-background', stretch))
  if (!found) return null
  kept.set(clip.quickKey, found)
  for (const key of kept.keys()) if (kept.size > mostKept) kept.delete(key)
  return found
}

type Open = NonNullable<ReturnType<typeof openClipOf>>

/** Works on a clip that is open, or opens it for as long as it takes. */
async function withClip<T>(clip: Clip, work: (open: Open) => Promise<T>): Promise<T | null> {
  const open = openClipOf(clip.id)
  if (open) return await work(open)
  const files = await fileFor(clip.id)
  if (files.kind !== 'here') return null
  const outcome = await decoding().openClip(files.files)
  if (outcome.kind !== 'open') return null
  try {
    return outcome.facts.quickKey === clip.quickKey ? await work(outcome.clip) : null
  } finally {
    outcome.clip.close()
  }
}
