import { registerProresDecoder } from '@mediabunny/prores'
import { VideoSampleSink, type InputVideoTrack, type VideoSample } from 'mediabunny'
import { adoptFrame, copyAndClose } from './frame-copy.ts'
import { frameAtTime, type FrameIndex } from './frame-index.ts'
import { DecodeFailure, type DecodedFrame, type FrameRun, type PictureSource } from './picture-source.ts'

let registered = false

/** Makes the ProRes decoder known to the container reader; once is enough. */
export function registerProres(): void {
  if (registered) return
  registerProresDecoder()
  registered = true
}

/** Frames of a ProRes track: every frame stands alone. */
export class ProresSource implements PictureSource {
  readonly decoder = 'prores'
  readonly readAhead = 2
  readonly #track: InputVideoTrack
  readonly #sink: VideoSampleSink
  readonly #index: FrameIndex

  constructor(track: InputVideoTrack, index: FrameIndex) {
    registerProres()
    this.#track = track
    this.#sink = new VideoSampleSink(track)
    this.#index = index
  }

  startFor(frame: number): Promise<number> {
    return Promise.resolve(frame)
  }

  run(frame: number, keepFrom: number): Promise<FrameRun> {
    const first = Math.max(0, Math.min(frame, keepFrom))
    return Promise.resolve(new ProresRun(this.#sink.samples(this.#index.times_s[first] ?? 0), this.#index, first))
  }

  fork(): PictureSource {
    return new ProresSource(this.#track, this.#index)
  }

  close(): void {
    // The runs own everything that needs closing.
  }
}

class ProresRun implements FrameRun {
  readonly first: number
  readonly #samples: AsyncGenerator<VideoSample, void, unknown>
  readonly #index: FrameIndex

  constructor(samples: AsyncGenerator<VideoSample, void, unknown>, index: FrameIndex, first: number) {
    this.first = first
    this.#samples = samples
    this.#index = index
  }

  keepFrom(_frame: number): void {
    // A run begins where its pictures are wanted.
  }

  async next(): Promise<DecodedFrame | 'end'> {
    for (;;) {
      const step = await this.#samples.next().catch((error: unknown) => {
        throw new DecodeFailure('the ProRes decoder stopped', { cause: error })
      })
      if (step.done === true) return 'end'
      const sample = step.value
      try {
        const frame = frameAtTime(this.#index, sample.timestamp)
        if (frame < this.first) continue
        return { frame, planes: await copyAndClose(adoptFrame(sample.toVideoFrame())) }
      } finally {
        sample.close()
      }
    }
  }

  close(): void {
    this.#samples.return().catch(() => undefined)
  }
}
