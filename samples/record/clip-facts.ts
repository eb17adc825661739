import { execFileSync } from 'node:child_process'
import { openAsBlob } from 'node:fs'
import { basename } from 'node:path'
import * as z from 'zod'
import { contentHash, quickKey } from '../../workers/decode/quick-key.ts'
import type { Clip } from '../../workers/record/index.ts'

const probe = z.object({
  streams: z.array(z.object({ width: z.number(), height: z.number(), time_base: z.string() })),
  packets: z.array(z.object({ pts: z.number() })),
  format: z.object({ tags: z.optional(z.record(z.string(), z.string())) }),
})

/** A clip as the record refers to it, and its ticks, read with native ffprobe. */
export async function clipFacts(path: string, id: string, viewId: string, codec: string, container: string) {
  const text = execFileSync(
    'ffprobe',
    [
      '-v',
      'error',
      '-select_streams',
      'v:0',
      '-show_entries',
      'stream=width,height,time_base:packet=pts:format_tags',
      '-of',
      'json',
      path,
    ],
    { encoding: 'utf8', maxBuffer: 64 * 2 ** 20 },
  )
  const { streams, packets, format } = probe.parse(JSON.parse(text))
  const stream = streams[0]!
  const timescale = Number(stream.time_base.split('/')[1]) / Number(stream.time_base.split('/')[0])
  const ticks = packets.map(({ pts }) => pts).sort((a, b) => a - b)
  const steps = ticks.slice(1).map((tick, i) => tick - ticks[i]!)
  const sorted = [...steps].sort((a, b) => a - b)
  const median = sorted[sorted.length >> 1]!
  const blob = await openAsBlob(path)
  const tag = format.tags?.['com.android.capture.fps']
  const clip: Clip = {
    id,
    name: basename(path),
    size: blob.size,
    quickKey: await quickKey([blob]),
    sha256: await contentHash([blob], new AbortController().signal, () => undefined),
    container,
    codec,
    width: stream.width,
    height: stream.height,
    rotation: 0,
    turn: 0,
    frames: ticks.length,
    timescale,
    firstTicks: ticks[0]!,
    lastTicks: ticks.at(-1)!,
    interval: {
      median,
      least: sorted[0]!,
      greatest: sorted.at(-1)!,
      uneven: steps.filter((step) => Math.abs(step - median) > Math.max(1, 0.02 * median)).length,
    },
    timestampStep_s: 0,
    fileRate_hz: timescale / median,
    filmingRateTag_hz: tag === undefined ? null : Number(tag),
    damage: null,
    viewId,
  }
  return { clip, ticks }
}
