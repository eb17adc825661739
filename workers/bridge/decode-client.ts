import type { ClipFacts, OpenProgress, Refused } from '../decode/clip-facts.ts'
import type { ReaderChoice } from '../decode/opened-clip.ts'
import { lostThread } from '../decode/sentences.ts'
import type { Rect } from '../decode/turn.ts'
import type { CallOptions } from './calls.ts'
import type {
  DecodeCalls,
  DecodeEvent,
  DecodeState,
  GlanceOutcome,
  PatchOutcome,
  PictureOutcome,
} from './decode-calls.ts'
import type { FrameJobName, JobParams, JobProgress, JobResult } from './frame-jobs.ts'
import { silence_ms, WorkerCalls, WorkerDied } from './worker-calls.ts'

export type { ClipFacts, Damage, DecoderName, OpenProgress, Refused } from '../decode/clip-facts.ts'
export { codedRect } from '../decode/turn.ts'
export type { Luma } from '../decode/frame-source.ts'
export type { Rect } from '../decode/turn.ts'
export type { DecodeState, GlanceOutcome, PatchOutcome, PictureOutcome } from './decode-calls.ts'
export type { FrameJobName, JobParams, JobProgress, JobResult } from './frame-jobs.ts'

export type OpenOutcome = { readonly kind: 'open'; readonly facts: ClipFacts; readonly clip: OpenClip } | Refused

/** A clip that is open: exact frames by number (0 is the first shown). Every call can be cancelled by its signal. */
export interface OpenClip {
  /** As of now: damage that is met later changes them, see `onFacts`. */
  readonly facts: ClipFacts
  onFacts(listener: (facts: ClipFacts) => void): () => void
  /** The picture of a frame to draw; close its image when drawn. */
  picture(frame: number, options?: { signal?: AbortSignal }): Promise<PictureOutcome>
  /** A small picture of a frame nearby that is quickly at hand, for the film ruler. */
  glance(frame: number, width_px: number, options?: { signal?: AbortSignal }): Promise<GlanceOutcome>
  /** Brightness of part of a frame; `rect` in coded pixels (see `codedRect` of turn.ts). */
  lumaPatch(frame: number, rect: Rect, options?: { signal?: AbortSignal }): Promise<PatchOutcome>
  /** Mean brightness of a region over frames `first` … `last`. */
  meanLuma(
    params: JobParams<'mean-luma'>,
    options?: CallOptions<JobProgress<'mean-luma'>>,
  ): Promise<JobResult<'mean-luma'>>
  /** SHA-256 of the file, or of the stills in order. */
  contentHash(options?: CallOptions<{ readonly fraction: number }>): Promise<string>
  /** Long work beside the frames, by name. */
  run<Name extends FrameJobName>(
    name: Name,
    params: JobParams<Name>,
    options?: CallOptions<JobProgress<Name>>,
  ): Promise<JobResult<Name>>
  close(): void
}

export interface DecodeClient {
  openClip(source: File | readonly File[], options?: CallOptions<OpenProgress>): Promise<OpenOutcome>
  state(): Promise<DecodeState>
  close(): void
}

/** Times a call is repeated in a new thread before the user is told. */
const mostRevivals = 2

/** How long the thread may stay silent while it opens files [ms]. It lets messages in every 0.8 s but for the sorting of long
 *  lists of frames, which goes with the size: so a small file that its reader does not come to an end with is noticed soon. */
const openPatience_ms = (files: readonly File[]): number =>
  Math.min(silence_ms, 5000 + files.reduce((sum, file) => sum + file.size, 0) / 50_000)

const spawnDecodeWorker = (): Worker =>
  new Worker(new URL('../decode/decode.worker.ts', import.meta.url), { type: 'module', name: 'decode' })

/** The page's way to frames. `spawn` makes the worker; tests hand in their own. */
export function createDecodeClient(spawn: () => Worker = spawnDecodeWorker): DecodeClient {
  const open = new Map<number, RemoteClip>()
  const calls = new WorkerCalls<DecodeCalls, DecodeEvent>(
    spawn,
    (event) => open.get(event.clip)?.change(event.change),
    closeImage,
  )
  let nextClip = 1

  return {
    async openClip(source, options = {}) {
      const files = source instanceof File ? [source] : [...source]
      const id = nextClip++
      const patience_ms = openPatience_ms(files)
      let reader: ReaderChoice = 'usual'
      for (let attempt = 0; ; attempt++) {
        try {
          const generation = calls.generation
          const outcome = await calls.call('open', { clip: id, files, reader }, { ...options, patience_ms })
          if (outcome.kind !== 'open') return outcome
          const clip = new RemoteClip(calls, { clip: id, files, reader }, outcome.facts, generation, () =>
            open.delete(id),
          )
          open.set(id, clip)
          return { kind: 'open', facts: outcome.facts, clip }
        } catch (error) {
          if (options.signal?.aborted === true)
            return { kind: 'cancelled', sentence: 'Opening was cancelled; nothing has changed.' }
          const name = files[0]?.name ?? ''
          if (!(error instanceof WorkerDied))
            return { kind: 'unreadable', name, cause: String(error), sentence: lostThread(name) }
          if (attempt >= mostRevivals || reader === 'forgiving')
            return { kind: 'unreadable', name, cause: error.message, sentence: lostThread(name) }
          if (error.how === 'silent' || attempt > 0) reader = 'forgiving'
        }
      }
    },
    state: () => calls.call('state', null),
    close: () => calls.close(),
  }
}

/** A picture that comes too late is let go at once: decoded frames are scarce. */
function closeImage(value: unknown): void {
  if (typeof value !== 'object' || value === null || !('image' in value)) return
  const { image } = value
  if (image instanceof ImageBitmap || (typeof VideoFrame !== 'undefined' && image instanceof VideoFrame)) image.close()
}

class RemoteClip implements OpenClip {
  readonly #calls: WorkerCalls<DecodeCalls, DecodeEvent>
  readonly #id: number
  readonly #source: DecodeCalls['open']['args']
  readonly #forget: () => void
  readonly #listeners = new Set<(facts: ClipFacts) => void>()
  #facts: ClipFacts
  #generation: number
  #reopening: Promise<void> | null = null

  constructor(
    calls: WorkerCalls<DecodeCalls, DecodeEvent>,
    source: DecodeCalls['open']['args'],
    facts: ClipFacts,
    generation: number,
    forget: () => void,
  ) {
    this.#calls = calls
    this.#id = source.clip
    this.#source = source
    this.#facts = facts
    this.#generation = generation
    this.#forget = forget
  }

  get facts(): ClipFacts {
    return this.#facts
  }

  onFacts(listener: (facts: ClipFacts) => void): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  change(change: Partial<ClipFacts>): void {
    this.#facts = { ...this.#facts, ...change }
    for (const listener of this.#listeners) listener(this.#facts)
  }

  async picture(frame: number, options: { signal?: AbortSignal } = {}): Promise<PictureOutcome> {
    try {
      return await this.#ask('picture', { clip: this.#id, frame }, options)
    } catch (error) {
      if (error instanceof WorkerDied) return { kind: 'failed', frame, sentence: lostThread(this.#facts.name) }
      throw error
    }
  }

  glance(frame: number, width_px: number, options: { signal?: AbortSignal } = {}): Promise<GlanceOutcome> {
    return this.#ask('glance', { clip: this.#id, frame, width_px }, options)
  }

  lumaPatch(frame: number, rect: Rect, options: { signal?: AbortSignal } = {}): Promise<PatchOutcome> {
    return this.#ask('lumaPatch', { clip: this.#id, frame, rect }, options)
  }

  meanLuma(
    params: JobParams<'mean-luma'>,
    options: CallOptions<JobProgress<'mean-luma'>> = {},
  ): Promise<JobResult<'mean-luma'>> {
    return this.run('mean-luma', params, options)
  }

  contentHash(options: CallOptions<{ readonly fraction: number }> = {}): Promise<string> {
    return this.#ask('contentHash', { clip: this.#id }, options)
  }

  async run<Name extends FrameJobName>(
    name: Name,
    params: JobParams<Name>,
    options: CallOptions<JobProgress<Name>> = {},
  ): Promise<JobResult<Name>> {
    const { signal, onProgress } = options
    const heard = onProgress === undefined ? undefined : (value: unknown) => onProgress(value as JobProgress<Name>)
    const result = await this.#ask('job', { clip: this.#id, name, params }, { signal, onProgress: heard })
    return result as JobResult<Name>
  }

  close(): void {
    this.#forget()
    if (this.#generation === this.#calls.generation)
      this.#calls.call('close', { clip: this.#id }).catch(() => undefined)
  }

  /** Asks the worker; when it dies meanwhile, opens the clip in a new one and asks again. */
  async #ask<Name extends keyof DecodeCalls & string>(
    method: Name,
    args: DecodeCalls[Name]['args'],
    options: CallOptions<DecodeCalls[Name]['progress']>,
  ): Promise<DecodeCalls[Name]['result']> {
    for (let attempt = 0; ; attempt++) {
      try {
        await this.#present()
        return await this.#calls.call(method, args, options)
      } catch (error) {
        if (!(error instanceof WorkerDied) || attempt >= mostRevivals) throw error
      }
    }
  }

  /** Makes sure that the present worker has this clip. */
  async #present(): Promise<void> {
    const generation = this.#calls.generation
    if (generation === this.#generation) return
    this.#reopening ??= this.#reopen(generation).finally(() => (this.#reopening = null))
    await this.#reopening
  }

  async #reopen(generation: number): Promise<void> {
    const outcome = await this.#calls.call('open', this.#source)
    if (outcome.kind !== 'open') throw new WorkerDied(outcome.sentence)
    this.#generation = generation
  }
}
