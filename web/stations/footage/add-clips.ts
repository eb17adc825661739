import type { ClipFacts, OpenClip } from '../../../workers/bridge/decode-client.ts'
import { rememberClipFiles, relink } from '../../record/clip-files.ts'
import { takeFootage, type IncomingFile } from '../../record/incoming.ts'
import { newId } from '../../record/new-id.ts'
import { setSession } from '../../record/session.ts'
import { addLateFact, commit, recordStore } from '../../record/store.ts'
import { adoptClip, dropClip } from '../../picture/current-clip.ts'
import { decoding } from '../../picture/decoding.ts'
import { say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'
import { clipFrom, viewForClip } from './clip-edits.ts'
import { inFrontOf, stillGroups } from './still-groups.ts'
import { settlePosition } from './same-position.ts'
import { alreadyThere, sameViewTaken } from './sentences.ts'

let adding = false

/** Opens everything that waits, one after the other; each clip that opens is one entry of undo. */
export async function addWaitingClips(): Promise<void> {
  if (adding) return
  adding = true
  try {
    for (let waiting = takeFootage(); waiting.length > 0; waiting = takeFootage()) {
      const missing = await takeMissing(waiting)
      for (const group of stillGroups(missing)) await addClip(group)
    }
  } finally {
    adding = false
  }
}

/** Files of clips that the record has already, and misses, are taken as those; the rest is new. */
async function takeMissing(files: readonly IncomingFile[]): Promise<readonly IncomingFile[]> {
  const { clips } = recordStore.getState().record
  const sizes = new Set(Object.values(clips).map((clip) => clip.size))
  const known = files.filter(({ file }) => sizes.has(file.size))
  if (known.length === 0) return files
  const { found, strangers } = await relink(known, keyOf)
  if (found.length > 0) {
    const names = found.map((id) => clips[id]?.name ?? id)
    say('told', alreadyThere(names), { key: 'footage' })
    setSession({ clipId: found[0]!, frame: clips[found[0]!]?.trim?.first ?? 0 })
  }
  return files.filter(({ file }) => !sizes.has(file.size) || strangers.includes(file))
}

async function keyOf(files: readonly File[]): Promise<string> {
  const outcome = await decoding().openClip(files)
  if (outcome.kind !== 'open') return ''
  outcome.clip.close()
  return outcome.facts.quickKey
}

async function addClip(group: readonly IncomingFile[]): Promise<void> {
  const files = group.map(({ file }) => file)
  const name = files.length === 1 ? files[0]!.name : `${inFrontOf(files)} (${files.length} stills)`
  const work = beginWork(`Opening ${name}`, '%')
  try {
    const outcome = await decoding().openClip(files, {
      signal: work.signal,
      onProgress: ({ fraction }) => {
        if (fraction !== null) work.progress(Math.round(100 * fraction), 100)
      },
    })
    if (outcome.kind !== 'open') {
      say(outcome.kind === 'cancelled' ? 'told' : 'wrong', outcome.sentence)
      return
    }
    await rememberClipFiles(
      outcome.facts.quickKey,
      files,
      group.flatMap(({ handle }) => handle ?? []),
    )
    await enter(outcome.facts, outcome.clip)
  } finally {
    work.end()
  }
}

/** A clip that is hashed within this time has its fingerprint from the start; larger ones get it when it is done. */
const hashPatience_ms = 1500

async function enter(facts: ClipFacts, clip: OpenClip): Promise<void> {
  const id = newId('clip-')
  const hashing = clip.contentHash().catch((cause: unknown) => {
    // The quick key finds the file all the same.
    console.warn('the clip was not hashed', cause)
    return undefined
  })
  const early = await Promise.race([hashing, new Promise<undefined>((resolve) => setTimeout(resolve, hashPatience_ms))])
  let shared = false
  // Before the record names it, so that the picture finds it open.
  adoptClip(id, clip)
  const outcome = commit(`add clip ${facts.name}`, (draft) => {
    const view = viewForClip(draft, facts)
    shared = view.shared
    draft.clips[id] = clipFrom(facts, id, view.viewId, new Date().toISOString())
    if (early !== undefined) draft.clips[id].sha256 = early
  })
  if (outcome.kind !== 'done') {
    dropClip(id)
    say('wrong', `“${facts.name}” was not added, because this record can only be looked at here.`)
    return
  }
  setSession({ clipId: id, frame: 0, runId: null, selected: null })
  if (shared) {
    void settlePosition(id).catch((cause: unknown) => {
      console.warn('the backgrounds were not compared', cause)
      say('caution', sameViewTaken(facts.name), { key: 'same-view' })
    })
  }
  if (early === undefined) void hashing.then((sha256) => noteHash(id, facts.name, sha256))
}

function noteHash(id: string, name: string, sha256: string | undefined): void {
  if (sha256 === undefined || !recordStore.getState().record.clips[id]) return
  addLateFact(`note the fingerprint of ${name}`, ['clips', id], (draft) => {
    const held = draft.clips[id]
    if (held) held.sha256 = sha256
  })
}
