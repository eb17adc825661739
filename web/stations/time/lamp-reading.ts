import { codedRect, type ClipFacts, type Rect } from '../../../workers/bridge/decode-client.ts'
import type { Clip, Px } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { wholeTurn } from '../../picture/orientation.ts'
import { commit } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'
import { lampNotReadable, lampOutside } from './sentences.ts'

/** Frames that are read unless the person says otherwise: 10 s at 240 frames per second tell a rate to 0.02 %. */
const enoughFrames = 2400

/** Frames that matter, from the first, as far as is enough. */
export function usualStretch(clip: Clip): { readonly first: number; readonly last: number } {
  const first = clip.trim?.first ?? 0
  const last = clip.trim?.last ?? clip.frames - 1
  return { first, last: Math.min(last, first + enoughFrames - 1) }
}

/** The box between two corners of the displayed picture, on whole pixels, at least one each way. */
export function boxBetween(a: Px, b: Px): Rect {
  const x = Math.floor(Math.min(a.x, b.x))
  const y = Math.floor(Math.min(a.y, b.y))
  return {
    x,
    y,
    width: Math.max(1, Math.ceil(Math.max(a.x, b.x)) - x),
    height: Math.max(1, Math.ceil(Math.max(a.y, b.y)) - y),
  }
}

export type LampSeries = NonNullable<Clip['lamp']>

/** Brightness per frame as the record keeps it, in grey levels of 8 bits; frames without a picture are left out. */
export function lampSeries(
  box: Rect,
  first: number,
  means: ArrayLike<number>,
  ticksOf: (frame: number) => number,
): LampSeries {
  const frames = Array.from({ length: means.length }, (_, i) => i).filter((i) => Number.isFinite(means[i]))
  return {
    ...box,
    fromFrame: first + (frames[0] ?? 0),
    ticks: frames.map((i) => ticksOf(first + i)),
    // A thousandth of a grey level is far below what any lamp's mean can tell.
    luma: frames.map((i) => Math.round(means[i]! * 255_000) / 1000),
  }
}

const codedBox = (clip: Clip, facts: ClipFacts, box: Rect): Rect =>
  codedRect(
    {
      width: clip.width,
      height: clip.height,
      rotation_deg: wholeTurn(clip.rotation, clip.turn),
      mirrored: facts.mirrored,
    },
    box,
  )

/** Reads the brightness of a box of the displayed picture over frames and keeps it with the clip: one entry of undo. */
export async function readLamp(
  clip: Clip,
  box: Rect,
  { first, last }: { readonly first: number; readonly last: number },
): Promise<void> {
  const open = openClipOf(clip.id)
  if (!open) {
    say('caution', lampNotReadable(clip.name))
    return
  }
  const count = last - first + 1
  const work = beginWork(`Reading brightness in ${clip.name}`, 'frames')
  try {
    const result = await open.meanLuma(
      { rect: codedBox(clip, open.facts, box), first, last },
      { signal: work.signal, onProgress: ({ fraction }) => work.progress(Math.round(fraction * count), count) },
    )
    if (result.kind === 'outside') {
      say('caution', lampOutside)
      return
    }
    const { ticks, timescale_hz } = open.facts
    const ticksOf = (frame: number): number =>
      timescale_hz === 0 ? frame : (ticks[frame] ?? clip.firstTicks + frame * clip.interval.median)
    commit('read the brightness of a box', (draft) => {
      const held = draft.clips[clip.id]
      if (held) held.lamp = lampSeries(box, result.first, result.means, ticksOf)
    })
  } catch (cause) {
    if (work.signal.aborted) return
    say('wrong', `The brightness could not be read (${cause instanceof Error ? cause.message : String(cause)}).`)
  } finally {
    work.end()
  }
}
