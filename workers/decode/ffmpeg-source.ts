import { acceptedPixelFormats } from './ffmpeg-log.ts'
import type { FfmpegFrame } from './ffmpeg-messages.ts'
import { canPull, type FfmpegCall, type FfmpegThread } from './ffmpeg-thread.ts'
import { frameAtTime, type FrameIndex } from './frame-index.ts'
import type { DecodedFrame, FrameRun, PictureSource } from './picture-source.ts'
import { packedLayout, unknownColor, type PictureColor, type Planes } from './planes.ts'

/** How ffmpeg reaches the frames of this clip. */
export interface FfmpegPlan {
  readonly file: Blob
  readonly index: FrameIndex
  /** False where packets carry no presentation time: frames are counted from the start, and there is no seeking. */
  readonly seekable: boolean
  readonly intraOnly: boolean
  readonly color: PictureColor
  /** Seconds that ffmpeg adds to the times of the index. */
  readonly shift_s: number
}

/** Pictures written ahead of the reader while pulling. */
const pullAhead = 4
/** Pictures of one batch where pulling is impossible: at least, and at most, bounded in bytes. */
const batch = { least: 8, most: 32, bytes: 96 * 1024 * 1024 } as const

/** Frames of a clip through ffmpeg compiled to WebAssembly: slower, but it reads nearly everything. */
export class FfmpegSource implements PictureSource {
  readonly decoder = 'ffmpeg'
  readonly readAhead = pullAhead
  readonly #thread: FfmpegThread
  readonly #plan: FfmpegPlan
  readonly #flagged: readonly number[]

  constructor(thread: FfmpegThread, plan: FfmpegPlan) {
    this.#thread = thread
    this.#plan = plan
    this.#flagged = plan.seekable ? keyFrames(plan.index) : [0]
  }

  startFor(frame: number): Promise<number> {
    let start = 0
    for (const key of this.#flagged) {
      if (key > frame) break
      start = key
    }
    return Promise.resolve(start)
  }

  run(frame: number, keepFrom: number): Promise<FrameRun> {
    const first = this.#plan.seekable ? Math.max(0, Math.min(frame, keepFrom)) : 0
    return Promise.resolve(
      canPull()
        ? new PullRun(this.#thread, this.#plan, first)
        : new BatchRun(this.#thread, this.#plan, frame, keepFrom),
    )
  }

  fork(): PictureSource {
    return new FfmpegSource(this.#thread.fork(), this.#plan)
  }

  close(): void {
    this.#thread.close()
  }
}

function keyFrames(index: FrameIndex): number[] {
  const keys: number[] = []
  for (let frame = 0; frame < index.frames; frame++) {
    if (index.flaggedKey[index.packetOfFrame[frame] ?? -1] === 1) keys.push(frame)
  }
  return keys
}

const filters = (select: string | null): string =>
  `${select === null ? '' : `${select},`}format=${acceptedPixelFormats},showinfo=checksum=0`

function seekArguments(plan: FfmpegPlan, first: number): string[] {
  const common = ['-noautorotate', '-copyts']
  if (!plan.seekable || first <= 0) return common
  const time = plan.index.times_s[first] ?? 0
  const before = plan.index.times_s[first - 1] ?? time
  // A quarter of an interval early, so that rounding in the seek can neither lose the frame nor let its neighbour in.
  return [...common, '-ss', (time - 0.25 * (time - before) + plan.shift_s).toFixed(9)]
}

const outputArguments = (select: string | null, limit: number | null): string[] => [
  ...['-map', '0:v:0', '-vf', filters(select), '-fps_mode', 'passthrough'],
  ...(limit === null ? [] : ['-frames:v', String(limit)]),
  ...['-flush_packets', '1', '-f', 'rawvideo'],
]

/** Which frame an output of ffmpeg is: by its time, or by counting where there are no times. */
function numberOf(plan: FfmpegPlan, output: FfmpegFrame, first: number): number {
  return plan.seekable ? frameAtTime(plan.index, output.time_s - plan.shift_s) : first + output.ordinal
}

function planesOf(plan: FfmpegPlan, output: FfmpegFrame): Planes {
  const { format, width, height, buffer, doubtful } = output
  const color = { ...unknownColor, ...plan.color, fullRange: output.fullRange ?? plan.color.fullRange }
  const { layout } = packedLayout(format, width, height)
  return { format, width, height, buffer, layout, color, doubtful }
}

class PullRun implements FrameRun {
  readonly #plan: FfmpegPlan
  readonly #call: FfmpegCall
  readonly first: number
  #taken = 0
  #keepFrom: number

  constructor(thread: FfmpegThread, plan: FfmpegPlan, first: number) {
    this.#plan = plan
    this.first = plan.seekable ? first : 0
    this.#keepFrom = first
    this.#call = thread.exec({
      file: plan.file,
      output: 'frames',
      before: seekArguments(plan, this.first),
      after: outputArguments(null, null),
      intraOnly: plan.intraOnly,
      pull: true,
    })
    this.#call.allow(pullAhead)
  }

  keepFrom(frame: number): void {
    this.#keepFrom = frame
  }

  async next(): Promise<DecodedFrame | 'end'> {
    for (;;) {
      const output = await this.#call.frame()
      if (output === null) return 'end'
      this.#taken += 1
      this.#call.allow(this.#taken + pullAhead)
      const frame = numberOf(this.#plan, output, this.first)
      if (frame < 0) continue
      return { frame, planes: frame < this.#keepFrom ? null : planesOf(this.#plan, output) }
    }
  }

  close(): void {
    this.#call.stop()
  }
}

/** Without shared memory ffmpeg cannot be held: it runs in short calls, each to its end. */
class BatchRun implements FrameRun {
  readonly #thread: FfmpegThread
  readonly #plan: FfmpegPlan
  readonly first: number
  #call: FfmpegCall | null = null
  #next: number
  #batchStart = 0
  #size: number
  #got = 0
  #closed = false

  constructor(thread: FfmpegThread, plan: FfmpegPlan, frame: number, keepFrom: number) {
    this.#thread = thread
    this.#plan = plan
    this.first = Math.max(0, Math.min(frame, keepFrom))
    this.#next = this.first
    this.#size = Math.min(batch.most, Math.max(batch.least, frame - this.#next + 1))
  }

  keepFrom(_frame: number): void {
    // Every batch begins where its pictures are wanted.
  }

  async next(): Promise<DecodedFrame | 'end'> {
    for (;;) {
      if (this.#closed) return 'end'
      if (this.#call === null) {
        if (this.#next >= this.#plan.index.frames) return 'end'
        this.#begin()
      }
      const output = await this.#call?.frame()
      if (output === undefined || output === null) {
        this.#call = null
        // An empty batch means that ffmpeg finds nothing more behind this point.
        if (this.#got === 0) return 'end'
        continue
      }
      this.#got += 1
      this.#size = Math.max(1, Math.min(batch.most, Math.floor(batch.bytes / output.buffer.byteLength)))
      const frame = numberOf(this.#plan, output, this.#batchStart)
      if (frame < 0) continue
      this.#next = Math.max(this.#next, frame + 1)
      return { frame, planes: planesOf(this.#plan, output) }
    }
  }

  close(): void {
    this.#closed = true
    this.#call?.stop()
    this.#call = null
  }

  #begin(): void {
    const plan = this.#plan
    this.#batchStart = this.#next
    this.#got = 0
    this.#call = this.#thread.exec({
      file: plan.file,
      output: 'frames',
      before: seekArguments(plan, this.#batchStart),
      after: outputArguments(
        plan.seekable || this.#batchStart === 0 ? null : `select=gte(n\\,${this.#batchStart})`,
        this.#size,
      ),
      intraOnly: plan.intraOnly,
      pull: false,
    })
  }
}
