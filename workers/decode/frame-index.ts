/** A packet as the container lists it, before any data is read. Times in seconds. */
export interface ListedPacket {
  readonly timestamp: number
  readonly duration: number
  readonly key: boolean
}

/** All frames of a clip in the order they are shown, and the packets in the order they are decoded.
 *  A frame's number is its place in the shown order. */
export interface FrameIndex {
  readonly frames: number
  readonly timescale_hz: number
  /** Presentation time of each frame in whole ticks, rising. */
  readonly ticks: Float64Array
  /** Presentation time of each frame in seconds, as the container states it. */
  readonly times_s: Float64Array
  /** Place in decode order of each frame's packet. */
  readonly packetOfFrame: Int32Array
  /** Frame of each packet in decode order; −1 for packets that are decoded but not shown (cut away by an edit list). */
  readonly frameOfPacket: Int32Array
  /** Timestamp of each packet in decode order [s]. */
  readonly packetTimes_s: Float64Array
  /** Packets whose time contradicts their place in decode order, so that they are decoded but not shown. */
  readonly contradicted: number
  /** Whether the container flags the packet as a key frame. Not to be trusted without looking into the packet. */
  readonly flaggedKey: Uint8Array
}

/** Frames by which decoding order and shown order may differ. Source: H.264, A.3.1 (max_dec_frame_buffering ≤ 16). */
export const reorderLimit = 16

/** Builds the index from packets in decode order. Packets that end at or before time zero are decoded but never shown:
 *  edit lists leave them behind, and players drop them. */
export function buildFrameIndex(packets: readonly ListedPacket[], timescale_hz: number): FrameIndex {
  const shown: number[] = []
  packets.forEach((packet, place) => {
    if (!(packet.timestamp + packet.duration <= 0) || packet.timestamp >= 0) shown.push(place)
  })
  const timeAt = (place: number): number => packets[place]?.timestamp ?? 0
  const listed = shown.length
  const inOrder = withoutContradictions(shown, timeAt)
  const frames = inOrder.length
  const index: FrameIndex = {
    frames,
    timescale_hz,
    ticks: new Float64Array(frames),
    times_s: new Float64Array(frames),
    packetOfFrame: new Int32Array(frames),
    frameOfPacket: new Int32Array(packets.length).fill(-1),
    packetTimes_s: Float64Array.from(packets, (packet) => packet.timestamp),
    contradicted: listed - frames,
    flaggedKey: Uint8Array.from(packets, (packet) => (packet.key ? 1 : 0)),
  }
  inOrder.forEach((place, frame) => {
    index.ticks[frame] = Math.round(timeAt(place) * timescale_hz)
    index.times_s[frame] = timeAt(place)
    index.packetOfFrame[frame] = place
    index.frameOfPacket[place] = frame
  })
  return index
}

/** Places of packets in shown order, without those that a decoder could never show there: it holds back at most sixteen
 *  pictures, so a packet further from its place than that has a damaged time. */
function withoutContradictions(places: readonly number[], timeAt: (place: number) => number): number[] {
  const byTime = [...places].sort((a, b) => timeAt(a) - timeAt(b) || a - b)
  const rank = new Map(places.map((place, i) => [place, i]))
  return byTime.filter((place, frame) => Math.abs(frame - (rank.get(place) ?? frame)) <= reorderLimit)
}

/** Index of a source whose packets stand in shown order and each stand alone, from ticks. */
export function indexOfTicks(ticks: Float64Array, timescale_hz: number): FrameIndex {
  const scale = timescale_hz > 0 ? timescale_hz : 1
  return {
    frames: ticks.length,
    timescale_hz,
    ticks,
    times_s: ticks.map((tick) => tick / scale),
    packetOfFrame: Int32Array.from(ticks, (_, i) => i),
    frameOfPacket: Int32Array.from(ticks, (_, i) => i),
    packetTimes_s: ticks.map((tick) => tick / scale),
    contradicted: 0,
    flaggedKey: new Uint8Array(ticks.length).fill(1),
  }
}

/** The first `frames` frames of an index whose later packets cannot be read: packets from `packetsUsable` on are gone. */
export function cutIndex(index: FrameIndex, packetsUsable: number): FrameIndex {
  const kept: number[] = []
  for (let frame = 0; frame < index.frames; frame++) {
    if ((index.packetOfFrame[frame] ?? Infinity) < packetsUsable) kept.push(frame)
  }
  const frameOfPacket = new Int32Array(packetsUsable).fill(-1)
  const packetOfFrame = Int32Array.from(kept, (frame) => index.packetOfFrame[frame] ?? 0)
  packetOfFrame.forEach((place, frame) => (frameOfPacket[place] = frame))
  return {
    frames: kept.length,
    timescale_hz: index.timescale_hz,
    ticks: Float64Array.from(kept, (frame) => index.ticks[frame] ?? 0),
    times_s: Float64Array.from(kept, (frame) => index.times_s[frame] ?? 0),
    packetOfFrame,
    frameOfPacket,
    packetTimes_s: index.packetTimes_s.slice(0, packetsUsable),
    contradicted: index.contradicted,
    flaggedKey: index.flaggedKey.slice(0, packetsUsable),
  }
}

/** The frame shown at a time [s], by the nearest timestamp; −1 when none lies within a quarter of the nearest interval. */
export function frameAtTime(index: FrameIndex, time_s: number): number {
  const times = index.times_s
  let low = 0
  let high = times.length - 1
  while (low < high) {
    const middle = (low + high) >> 1
    if ((times[middle] ?? 0) < time_s) low = middle + 1
    else high = middle
  }
  const after = low
  const before = Math.max(0, low - 1)
  const gap = (frame: number): number => Math.abs((times[frame] ?? Infinity) - time_s)
  const nearest = gap(before) <= gap(after) ? before : after
  return gap(nearest) <= toleranceAround(times, nearest) ? nearest : -1
}

function toleranceAround(times: Float64Array, frame: number): number {
  const here = times[frame] ?? 0
  const left = frame > 0 ? here - (times[frame - 1] ?? 0) : Infinity
  const right = frame + 1 < times.length ? (times[frame + 1] ?? 0) - here : Infinity
  const interval = Math.min(left, right)
  return Number.isFinite(interval) ? interval / 4 : Infinity
}
