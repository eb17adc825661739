import { codecName, isIntraOnly } from './codec-names.ts'
import { parseFramecrc, parseVideoStream, type LoggedPacket, type LoggedStream } from './ffmpeg-log.ts'
import type { FfmpegThread } from './ffmpeg-thread.ts'
import { buildFrameIndex, indexOfTicks, type FrameIndex, type ListedPacket } from './frame-index.ts'

/** What ffmpeg finds in a file without decoding it (or, where there is no other way, by decoding it once). */
export type FfmpegIndex =
  | {
      readonly kind: 'index'
      readonly index: FrameIndex
      readonly stream: LoggedStream
      readonly codec: string
      readonly seekable: boolean
      readonly intraOnly: boolean
    }
  | { readonly kind: 'no-index' | 'no-video-track' | 'unknown-format' | 'no-frames'; readonly codec: string }
  | { readonly kind: 'no-decoder'; readonly codec: string }

/** Containers that store no presentation times, so that a stream with reordered frames has none. */
const timeless = new Set(['AVI', 'MPEG-PS'])

const startTime = ['-noautorotate', '-copyts']

/** Lists the frames of a file by ffmpeg's own reading of it. Rejects with the signal's reason when aborted. */
export async function ffmpegIndex(
  thread: FfmpegThread,
  file: Blob,
  container: string,
  signal: AbortSignal,
  onFraction: (fraction: number) => void,
): Promise<FfmpegIndex> {
  const list = async (after: readonly string[]): Promise<{ log: readonly string[]; text: string }> => {
    const call = thread.exec({
      file,
      output: 'text',
      before: startTime,
      after: ['-map', '0:v:0', ...after, '-f', 'framecrc'],
      intraOnly: false,
      pull: false,
      onRead: (position) => onFraction(Math.min(1, position / file.size)),
    })
    const stop = (): void => call.stop()
    signal.addEventListener('abort', stop, { once: true })
    try {
      return await call.done()
    } finally {
      signal.removeEventListener('abort', stop)
      signal.throwIfAborted()
    }
  }
  const copied = await list(['-c', 'copy'])
  const stream = copied.log.map(parseVideoStream).find((found) => found !== null) ?? null
  const listed = parseFramecrc(copied.text)
  if (stream === null) return withoutStream(copied.log)
  const codec = codecName(stream.codec)
  const packets = listed?.packets.filter((packet) => packet.size > 0) ?? []
  if (listed === null || packets.length === 0) return { kind: 'no-frames', codec }
  const intraOnly = isIntraOnly(stream.codec)
  const [numerator, denominator] = listed.timeBase
  const seekable = packets.every((packet) => Number.isFinite(packet.pts)) && (intraOnly || !timeless.has(container))
  if (seekable) {
    const timescale = denominator / numerator
    const index = buildFrameIndex(
      packets.map((packet) => asListed(packet, timescale)),
      timescale,
    )
    return { kind: 'index', index, stream, codec, seekable, intraOnly }
  }
  return await countByDecoding(list, stream, codec, intraOnly)
}

const asListed = (packet: LoggedPacket, timescale: number): ListedPacket => ({
  timestamp: packet.pts / timescale,
  duration: packet.duration / timescale,
  key: packet.key,
})

/** Where packets carry no presentation time, only decoding tells how many frames there are; each counts one interval. */
async function countByDecoding(
  list: (after: readonly string[]) => Promise<{ log: readonly string[]; text: string }>,
  stream: LoggedStream,
  codec: string,
  intraOnly: boolean,
): Promise<FfmpegIndex> {
  const decoded = await list(['-fps_mode', 'passthrough', '-vf', 'scale=16:16', '-c:v', 'rawvideo'])
  const listed = parseFramecrc(decoded.text)
  if (listed === null || listed.packets.length === 0) {
    const unknown = decoded.log.some((line) =>
      /Decoder .*not found|no decoder found|Decoding requested, but no decoder/i.test(line),
    )
    return { kind: unknown ? 'no-decoder' : 'no-frames', codec }
  }
  const [numerator, denominator] = listed.timeBase
  const given = listed.packets.map((packet) => packet.pts)
  const rising = given.every((pts, i) => Number.isFinite(pts) && (i === 0 || pts > (given[i - 1] ?? 0)))
  const ticks = Float64Array.from(given, (pts, i) => (rising ? pts : i))
  return {
    kind: 'index',
    index: indexOfTicks(ticks, denominator / numerator),
    stream,
    codec,
    seekable: false,
    intraOnly,
  }
}

function withoutStream(log: readonly string[]): FfmpegIndex {
  const says = (words: RegExp): boolean => log.some((line) => words.test(line))
  if (says(/moov atom not found/)) return { kind: 'no-index', codec: '' }
  if (says(/Stream #0:\d+.*: Audio/)) return { kind: 'no-video-track', codec: '' }
  return { kind: 'unknown-format', codec: '' }
}
