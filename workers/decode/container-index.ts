import { EncodedPacketSink, type InputVideoTrack } from 'mediabunny'
import { buildFrameIndex, cutIndex, type FrameIndex, type ListedPacket } from './frame-index.ts'

/** Packets between two looks at the clock. */
const batch = 5000
/** How long to go on without letting messages in. Each pause costs a quarter of a second here, so they are few. */
const pauseEvery_ms = 800

/** Lists the frames of a track from its container alone, without reading picture data. */
export async function listFrames(
  track: InputVideoTrack,
  signal: AbortSignal,
  onPackets: (count: number) => void,
): Promise<FrameIndex> {
  const packets: ListedPacket[] = []
  let paused_ms = performance.now()
  const sink = new EncodedPacketSink(track)
  const options = { metadataOnly: true } as const
  for (
    let packet = await sink.getFirstPacket(options);
    packet !== null;
    packet = await sink.getNextPacket(packet, options)
  ) {
    packets.push({ timestamp: packet.timestamp, duration: packet.duration, key: packet.type === 'key' })
    if (packets.length % batch !== 0) continue
    onPackets(packets.length)
    if (performance.now() - paused_ms < pauseEvery_ms) continue
    // Lets messages in: without it, neither a cancel nor a sign of life gets through.
    await new Promise((resolve) => setTimeout(resolve))
    paused_ms = performance.now()
    signal.throwIfAborted()
  }
  signal.throwIfAborted()
  return buildFrameIndex(packets, await track.getTimeResolution())
}

/** The part of the index whose data is really in the file: a file that was cut off still lists all its frames.
 *  Found by halving, since data lies in the file in the order of decoding. */
export async function usableIndex(track: InputVideoTrack, index: FrameIndex): Promise<FrameIndex> {
  const sink = new EncodedPacketSink(track)
  const present = async (place: number): Promise<boolean> =>
    (await sink.getPacket(index.packetTimes_s[place] ?? 0).catch(() => null)) !== null
  const count = index.packetTimes_s.length
  if (count === 0 || (await present(count - 1))) return index
  let there = 0
  let gone = count - 1
  while (there < gone) {
    const middle = (there + gone) >> 1
    if (await present(middle)) there = middle + 1
    else gone = middle
  }
  return cutIndex(index, there)
}
