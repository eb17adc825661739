import type { Draft } from 'immer'
import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import type { Clip, SlowlaneRecord } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { displayedSize, wholeTurn } from '../../picture/orientation.ts'
import { clipFrom, pictureOf } from './clip-edits.ts'

/** Why a file cannot stand for a clip; its marks would not lie on it. */
export function otherFileFault(record: SlowlaneRecord, clip: Clip, facts: ClipFacts): string | null {
  const coded = { width: facts.codedWidth_px, height: facts.codedHeight_px }
  const [was, now] = [pictureOf(clip), displayedSize(coded, wholeTurn(facts.rotation_deg, clip.turn))]
  if (was.width !== now.width || was.height !== now.height)
    return `“${facts.name}” has pictures of ${now.width} × ${now.height} px, “${clip.name}” of ${was.width} × ${was.height}: its marks would lie elsewhere. Add it as a clip of its own.`
  const last = Math.max(
    -1,
    ...Object.values(record.runs)
      .filter((run) => run.clipId === clip.id)
      .map((run) => run.marks.frame.at(-1) ?? -1),
  )
  return last >= facts.frames
    ? `“${facts.name}” has ${facts.frames} frames, but frame ${last} of “${clip.name}” is marked. Choose a file with all of its frames, or add this one as a clip of its own.`
    : null
}

/** What differs between the clip of the record and another file, in words; empty where only the bytes do. */
export function differences(clip: Clip, facts: ClipFacts): string[] {
  const now = clipFrom(facts, clip.id, clip.viewId, '')
  const told: string[] = []
  const compare = (what: string, before: string, after: string) => {
    if (before !== after) told.push(`${what}: ${before} before, ${after} now`)
  }
  compare('frames', String(clip.frames), String(now.frames))
  compare('size', `${showPlain(clip.size / 1e6, 4)} MB`, `${showPlain(now.size / 1e6, 4)} MB`)
  compare('codec', `${clip.codec} in ${clip.container}`, `${now.codec} in ${now.container}`)
  compare('plays at', showPlain(clip.fileRate_hz, 5), showPlain(now.fileRate_hz, 5))
  compare('uneven intervals', String(clip.interval.uneven), String(now.interval.uneven))
  return told
}

/**
 * Lets another file stand for a clip. Marks, runs, trim and camera position stay, by frame number; times are read anew from the file. What was read
 * from the old file's pixels (a lamp's brightness, shake, repeated frames) goes.
 */
export function takeOtherFile(draft: Draft<SlowlaneRecord>, clipId: string, facts: ClipFacts): void {
  const held = draft.clips[clipId]
  if (!held) return
  const { turn, trim, pieces, addedAt, filmedOn } = held
  const fresh = clipFrom(facts, clipId, held.viewId, addedAt ?? '')
  const ticksOf = (frame: number): number =>
    facts.timescale_hz === 0 ? frame : (facts.ticks[frame] ?? fresh.firstTicks + frame * fresh.interval.median)
  draft.clips[clipId] = { ...fresh, turn }
  const clip = draft.clips[clipId]
  if (addedAt === undefined) delete clip.addedAt
  if (filmedOn !== undefined) clip.filmedOn = filmedOn
  const last = clip.frames - 1
  if (trim && trim.first < last) clip.trim = { first: trim.first, last: Math.min(trim.last, last) }
  const kept = (pieces ?? []).filter((piece) => piece.fromFrame < last)
  if (kept.length > 0) clip.pieces = kept.map((piece) => ({ ...piece, fromTicks: ticksOf(piece.fromFrame) }))
  for (const run of Object.values(draft.runs)) if (run.clipId === clipId) run.marks.ticks = run.marks.frame.map(ticksOf)
}
