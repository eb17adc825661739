import { codedRect, type ClipFacts, type Rect } from '../../../workers/bridge/decode-client.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { wholeTurn } from '../../picture/orientation.ts'
import { commit } from '../../record/store.ts'
import { say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'
import { lampSeries, type Stretch } from './lamp-series.ts'
import { lampNotReadable, lampOutside } from './sentences.ts'

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
export async function readLamp(clip: Clip, box: Rect, { first, last }: Stretch): Promise<void> {
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
