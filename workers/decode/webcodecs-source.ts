import { EncodedPacketSink, type EncodedPacket, type InputVideoTrack } from 'mediabunny'
import { adoptFrame, closeFrame, copyAndClose } from './frame-copy.ts'
import type { FrameIndex } from './frame-index.ts'
import { DecodeFailure, type DecodedFrame, type FrameRun, type PictureSource } from './picture-source.ts'
import type { Planes } from './planes.ts'
import { Bell } from './wake.ts'

/** Pictures decoded ahead of the reader: enough to keep the decoder busy, few enough to stop quickly. */
const readAhead = 8
/** Chunks in the decoder's queue; more only delays a cancel. */
const queueDepth = 6
/** Chunk timestamps are frame numbers in steps of this [µs], so that no rounding of real times can mix up frames. */
const stampStep_us = 1000

/** The configuration under which the browser decodes a track, or null when it cannot. Software first: it never stalls on
 *  frames that are held, and its output is exact. */
export async function decodableConfig(track: InputVideoTrack): Promise<VideoDecoderConfig | null> {
  if (typeof VideoDecoder === 'undefined') return null
  const stated = await track.getDecoderConfig()
  if (stated === null) return null
  // The container's colour may be a guess of its reader; the stream's own statement is what counts.
  const { colorSpace: _guess, ...plain } = stated
  for (const hardwareAcceleration of ['prefer-software', 'no-preference'] as const) {
    const config = { ...plain, hardwareAcceleration }
    const support = await VideoDecoder.isConfigSupported(config).catch(() => null)
    if (support?.supported === true) return config
  }
  return null
}

/** Frames of a track through the browser's own decoder. */
export class WebCodecsSource implements PictureSource {
  readonly decoder = 'webcodecs'
  readonly readAhead = readAhead
  readonly #track: InputVideoTrack
  readonly #sink: EncodedPacketSink
  readonly #index: FrameIndex
  readonly #config: VideoDecoderConfig
  /** What looking into a packet said, by place in decode order. */
  readonly #verified: Map<number, boolean>
  readonly #runs = new Set<WebCodecsRun>()

  constructor(
    track: InputVideoTrack,
    index: FrameIndex,
    config: VideoDecoderConfig,
    verified = new Map<number, boolean>(),
  ) {
    this.#track = track
    this.#sink = new EncodedPacketSink(track)
    this.#index = index
    this.#config = config
    this.#verified = verified
  }

  async startFor(frame: number): Promise<number> {
    return Math.max(0, this.#index.frameOfPacket[await this.#startPlace(frame)] ?? 0)
  }

  async run(frame: number, keepFrom: number): Promise<FrameRun> {
    const place = await this.#startPlace(frame)
    const packet = await this.#packetAt(place)
    if (packet === null) throw new DecodeFailure(`packet ${place} cannot be read`)
    const run = new WebCodecsRun(this.#sink, this.#index, this.#config, place, packet, keepFrom, (gone) =>
      this.#runs.delete(gone),
    )
    this.#runs.add(run)
    return run
  }

  fork(): PictureSource {
    return new WebCodecsSource(this.#track, this.#index, this.#config, this.#verified)
  }

  close(): void {
    for (const run of [...this.#runs]) run.close()
  }

  /** Place in decode order of the last verified key frame that is decoded and shown no later than `frame`.
   *  Container flags alone are wrong on open-GOP and intra-refresh streams. */
  async #startPlace(frame: number): Promise<number> {
    for (let place = this.#index.packetOfFrame[frame] ?? 0; place > 0; place--) {
      if (this.#index.flaggedKey[place] !== 1) continue
      if ((this.#index.frameOfPacket[place] ?? -1) > frame) continue
      if (await this.#isKey(place)) return place
    }
    return 0
  }

  async #isKey(place: number): Promise<boolean> {
    const known = this.#verified.get(place)
    if (known !== undefined) return known
    const packet = await this.#packetAt(place)
    const type = packet === null ? 'delta' : await this.#track.determinePacketType(packet)
    const key = type === 'key' || type === null
    this.#verified.set(place, key)
    return key
  }

  async #packetAt(place: number): Promise<EncodedPacket | null> {
    if (place === 0) return await this.#sink.getFirstPacket()
    return await this.#sink.getPacket(this.#index.packetTimes_s[place] ?? 0)
  }
}

class WebCodecsRun implements FrameRun {
  readonly first: number
  readonly #index: FrameIndex
  readonly #decoder: VideoDecoder
  readonly #onClose: (run: WebCodecsRun) => void
  readonly #feedBell = new Bell()
  readonly #readBell = new Bell()
  readonly #ready: { frame: number; planes: Promise<Planes> | null }[] = []
  #keepFrom: number
  #done = false
  #closed = false
  #failure: Error | null = null

  constructor(
    sink: EncodedPacketSink,
    index: FrameIndex,
    config: VideoDecoderConfig,
    place: number,
    first: EncodedPacket,
    keepFrom: number,
    onClose: (run: WebCodecsRun) => void,
  ) {
    this.#index = index
    this.#keepFrom = keepFrom
    this.#onClose = onClose
    // The very first packet may be shown late in a damaged file; what is decoded from there on counts from 0.
    this.first = place === 0 ? 0 : Math.max(0, index.frameOfPacket[place] ?? 0)
    this.#decoder = new VideoDecoder({
      output: (frame) => this.#take(frame),
      error: (error) =>
        this.#fail(new DecodeFailure(`the browser's decoder stopped: ${error.message}`, { cause: error })),
    })
    this.#decoder.addEventListener('dequeue', () => this.#feedBell.ring())
    try {
      this.#decoder.configure(config)
    } catch (error) {
      this.#fail(new DecodeFailure('the browser refused the decoder configuration', { cause: error }))
    }
    this.#feed(sink, place, first).catch((error: unknown) => {
      this.#fail(
        error instanceof DecodeFailure ? error : new DecodeFailure('reading the clip failed', { cause: error }),
      )
    })
  }

  keepFrom(frame: number): void {
    this.#keepFrom = frame
  }

  async next(): Promise<DecodedFrame | 'end'> {
    for (;;) {
      const output = this.#ready.shift()
      if (output !== undefined) {
        this.#feedBell.ring()
        return { frame: output.frame, planes: output.planes === null ? null : await output.planes }
      }
      if (this.#failure !== null) throw this.#failure
      if (this.#done || this.#closed) return 'end'
      await this.#readBell.heard()
    }
  }

  close(): void {
    if (this.#closed) return
    this.#closed = true
    // Copies under way close their frames themselves.
    this.#ready.length = 0
    if (this.#decoder.state !== 'closed') this.#decoder.close()
    this.#feedBell.ring()
    this.#readBell.ring()
    this.#onClose(this)
  }

  #take(output: VideoFrame): void {
    const adopted = adoptFrame(output)
    const frame = Math.round(output.timestamp / stampStep_us)
    // Leading pictures of an open group refer to a frame before the start and come out broken.
    if (this.#closed || frame < this.first) {
      closeFrame(adopted)
      return
    }
    if (frame < this.#keepFrom) {
      closeFrame(adopted)
      this.#ready.push({ frame, planes: null })
    } else {
      const planes = copyAndClose(adopted)
      // The reader meets the rejection when its turn comes; until then it must not count as unhandled.
      planes.catch(() => undefined)
      this.#ready.push({ frame, planes })
    }
    this.#readBell.ring()
  }

  #fail(error: Error): void {
    this.#failure ??= error
    this.#readBell.ring()
    this.#feedBell.ring()
  }

  async #feed(sink: EncodedPacketSink, startPlace: number, first: EncodedPacket): Promise<void> {
    let place = startPlace
    for await (const packet of sink.packets(first)) {
      while (!this.#stopped() && (this.#decoder.decodeQueueSize >= queueDepth || this.#ready.length >= readAhead)) {
        await this.#feedBell.heard()
      }
      if (this.#stopped() || place >= this.#index.frameOfPacket.length) break
      const frame = this.#index.frameOfPacket[place] ?? -1
      this.#decoder.decode(
        new EncodedVideoChunk({
          type: place === startPlace ? 'key' : packet.type,
          timestamp: frame >= 0 ? frame * stampStep_us : (place - this.#index.frameOfPacket.length) * stampStep_us,
          duration: stampStep_us,
          data: packet.data,
        }),
      )
      place += 1
    }
    if (this.#stopped()) return
    try {
      await this.#decoder.flush()
    } catch (error) {
      if (!this.#closed)
        this.#fail(new DecodeFailure(`the browser's decoder stopped: ${String(error)}`, { cause: error }))
    }
    this.#done = true
    this.#readBell.ring()
  }

  #stopped(): boolean {
    return this.#closed || this.#failure !== null
  }
}
