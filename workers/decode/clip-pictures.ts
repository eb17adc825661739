import { giveBuffer } from './buffer-pool.ts'
import { FrameCache } from './frame-cache.ts'
import { reorderLimit } from './frame-index.ts'
import { DecodeFailure, type DecodedFrame, type FrameRun, type PictureSource } from './picture-source.ts'
import type { Planes } from './planes.ts'

export type PlanesOutcome = { readonly kind: 'planes'; readonly planes: Planes } | { readonly kind: 'missing-frame' }

/** Asked for while a source gives up: the replacement, or null when there is none. Frames from `suspectFrom` on may
 *  have been patched over without a word before the decoder noticed; `damaged` says that the data was to blame. */
export type Replace = (
  failure: DecodeFailure,
  suspectFrom: number,
) => Promise<{ readonly source: PictureSource; readonly damaged: boolean } | null>

/** Told of each frame that has no picture, or only one that was patched over damage. */
export type OnDamage = (frame: number, what: 'missing' | 'doubtful') => void

interface Waiter {
  readonly frame: number
  readonly resolve: (outcome: PlanesOutcome) => void
  readonly reject: (error: unknown) => void
}

/** Share of the cache that may be filled ahead of the frame looked at. */
const prefetchShare = 0.4
/** Frames kept ready in the direction of travel when the cache holds more. */
const prefetchFrames = 16

/** A cache whose evicted pictures give their memory back. */
export const pictureCache = (budget_bytes: number): FrameCache<Planes> =>
  new FrameCache<Planes>(budget_bytes, ({ buffer }) => giveBuffer(buffer))

/** Pictures of one clip by frame number: one decoder kept running, a cache bounded in bytes, the direction of travel
 *  read ahead. Runs on for whoever asks; a caller that loses interest costs nothing but the frame under way. */
export class ClipPictures {
  readonly #frames: number
  readonly #cache: FrameCache<Planes>
  readonly #replace: Replace
  readonly #onDamage: OnDamage
  readonly #waiters: Waiter[] = []
  readonly #missing = new Set<number>()
  /** Frames whose number the decoder contradicts: it shows them before or after their time. */
  readonly #distrusted = new Set<number>()
  #source: PictureSource
  #run: FrameRun | null = null
  /** The frame the run will show next, if it shows every one. */
  #position = 0
  /** The highest frame this run has shown so far. */
  #highest = -1
  #working = false
  #closed = false
  #last = -1
  #direction: 1 | -1 = 1
  #pictureBytes = 0

  constructor(source: PictureSource, frames: number, cache: FrameCache<Planes>, replace: Replace, onDamage: OnDamage) {
    this.#source = source
    this.#frames = frames
    this.#cache = cache
    this.#replace = replace
    this.#onDamage = onDamage
  }

  get source(): PictureSource {
    return this.#source
  }
  get cachedBytes(): number {
    return this.#cache.bytes
  }

  /** The picture of a frame. Rejects with the signal's reason when aborted, with `DecodeFailure` when no decoder is left. */
  async get(frame: number, signal?: AbortSignal): Promise<PlanesOutcome> {
    if (!Number.isInteger(frame) || frame < 0 || frame >= this.#frames) {
      throw new RangeError(`frame ${frame} is not one of 0 … ${this.#frames - 1}`)
    }
    signal?.throwIfAborted()
    if (this.#closed) throw new DecodeFailure('the clip is closed')
    if (frame !== this.#last) this.#direction = frame < this.#last ? -1 : 1
    this.#last = frame
    this.#cache.centre(frame)
    const cached = this.#cache.get(frame)
    if (cached !== undefined || this.#missing.has(frame)) {
      this.#work()
      return cached === undefined ? { kind: 'missing-frame' } : { kind: 'planes', planes: cached }
    }
    return await new Promise<PlanesOutcome>((resolve, reject) => {
      const waiter: Waiter = { frame, resolve, reject }
      this.#waiters.push(waiter)
      signal?.addEventListener('abort', () => {
        const at = this.#waiters.indexOf(waiter)
        if (at < 0) return
        this.#waiters.splice(at, 1)
        reject(signal.reason as Error)
      })
      this.#work()
    })
  }

  /** Independent access to the same pictures with a cache of its own, for work that must not disturb whoever steps. */
  fork(budget_bytes: number): ClipPictures {
    return new ClipPictures(
      this.#source.fork(),
      this.#frames,
      pictureCache(budget_bytes),
      this.#replace,
      this.#onDamage,
    )
  }

  /** Some picture near a frame, quickly: the frame itself when it lies ready, else the key frame it starts from. */
  async glance(frame: number): Promise<{ readonly frame: number; readonly planes: Planes } | null> {
    const cached = this.#cache.get(frame)
    if (cached !== undefined) return { frame, planes: cached }
    const source = this.#source.fork()
    try {
      const start = await source.startFor(frame)
      const run = await source.run(start, start)
      const output = await run.next()
      run.close()
      return output === 'end' || output.planes === null ? null : { frame: output.frame, planes: output.planes }
    } finally {
      source.close()
    }
  }

  /** Gives back memory and decoder; the next `get` starts afresh. */
  park(): void {
    this.#stopRun()
    this.#cache.clear()
    this.#last = -1
  }

  close(): void {
    this.#closed = true
    this.park()
    this.#source.close()
    for (const waiter of this.#waiters.splice(0)) waiter.reject(new DecodeFailure('the clip was closed'))
  }

  #work(): void {
    if (this.#working || this.#closed) return
    this.#working = true
    void this.#loop().finally(() => {
      this.#working = false
    })
  }

  async #loop(): Promise<void> {
    for (;;) {
      const need = this.#nextNeed()
      if (need === null || this.#closed) return
      try {
        await this.#reach(need)
      } catch (error) {
        if (!(await this.#recover(error))) return
      }
    }
  }

  /** Somebody waiting comes before reading ahead; the newest wish before older ones, unless the run is about to pass them. */
  #nextNeed(): { frame: number; keepFrom: number; urgent: boolean } | null {
    const newest = this.#waiters[this.#waiters.length - 1]
    if (newest !== undefined) {
      let frame = newest.frame
      for (const waiter of this.#waiters) {
        if (waiter.frame >= this.#position && waiter.frame < frame) frame = waiter.frame
      }
      return { frame, keepFrom: this.#direction > 0 ? frame : frame - this.#span(), urgent: true }
    }
    return this.#last < 0 ? null : this.#prefetchNeed()
  }

  #prefetchNeed(): { frame: number; keepFrom: number; urgent: boolean } | null {
    const span = this.#span()
    for (let ahead = 1; ahead <= span; ahead++) {
      const frame = this.#last + ahead * this.#direction
      if (frame < 0 || frame >= this.#frames) return null
      if (this.#cache.has(frame) || this.#missing.has(frame)) continue
      // Backwards, a restart pays only when it brings several frames: wait until half of the span is used up.
      if (this.#direction < 0 && ahead > span / 2) return null
      return { frame, keepFrom: this.#direction > 0 ? frame : frame - span + 1, urgent: false }
    }
    return null
  }

  /** Frames read ahead of the one looked at: bounded by the share of the cache they may fill. */
  #span(): number {
    if (this.#pictureBytes === 0) return 1
    const fit = Math.floor((this.#cache.budget_bytes * prefetchShare) / this.#pictureBytes)
    return Math.max(1, this.#direction > 0 ? Math.min(prefetchFrames, fit) : fit)
  }

  async #reach(need: { frame: number; keepFrom: number; urgent: boolean }): Promise<void> {
    const before = this.#run
    const run = await this.#runTowards(need.frame, need.keepFrom)
    const fresh = run !== before
    let brought = false
    while (this.#position <= need.frame) {
      if (this.#closed || run !== this.#run) return
      if (!need.urgent && this.#waiters.some((waiter) => !this.#onTheWay(waiter.frame, need.frame))) return
      const from = this.#position
      const output = await this.#pull(run)
      if (output === null) return
      const found = output === 'end' ? [] : [output]
      const until = output === 'end' ? this.#frames : output.frame
      if (output !== 'end' && until > from) found.push(...(await this.#pullLate(run, from, until)))
      brought ||= found.some(({ frame, planes }) => frame === need.frame && planes !== null)
      for (let frame = from; frame < until; frame++) {
        if (!found.some((late) => late.frame === frame)) this.#settleMissing(frame)
      }
      if (run !== this.#run) return
      if (need.urgent && !this.#waiters.some((waiter) => waiter.frame === need.frame)) return
    }
    // A run begun for this very frame that does not bring it never will.
    if (fresh && !brought) this.#settleMissing(need.frame)
  }

  /** The next output of a run, kept if it has a picture; null when the run was given up meanwhile. */
  async #pull(run: FrameRun): Promise<DecodedFrame | 'end' | null> {
    const output = await run.next()
    if (run !== this.#run) return null
    if (output === 'end') {
      this.#position = this.#frames
      this.#stopRun()
      return 'end'
    }
    this.#position = Math.max(this.#position, output.frame + 1)
    this.#checkOrder(output.frame)
    if (output.planes !== null) this.#settle(output.frame, output.planes)
    return output
  }

  /** Where outputs leave a gap, a few more of them tell whether frames are missing or only late, by a damaged time. */
  async #pullLate(run: FrameRun, from: number, until: number): Promise<DecodedFrame[]> {
    const late: DecodedFrame[] = []
    let open = until - from
    for (let extra = 0; extra < reorderLimit && open > 0; extra++) {
      const output = await this.#pull(run)
      if (output === null || output === 'end') break
      late.push(output)
      if (output.frame >= from && output.frame < until) open -= 1
    }
    return late
  }

  #onTheWay(frame: number, towards: number): boolean {
    return frame >= this.#position && frame <= towards
  }

  /** The running decoder if it gets there sooner than a fresh start, else a fresh start. */
  async #runTowards(frame: number, keepFrom: number): Promise<FrameRun> {
    if (this.#run !== null && this.#position <= frame) {
      const near = frame - this.#position <= this.#source.readAhead
      if (near || (await this.#source.startFor(frame)) <= this.#position) {
        this.#run.keepFrom(Math.max(0, keepFrom))
        return this.#run
      }
    }
    this.#stopRun()
    const start = await this.#source.startFor(frame)
    const run = await this.#source.run(frame, Math.max(start, keepFrom))
    this.#run = run
    this.#position = run.first
    this.#highest = -1
    return run
  }

  /** Decoders show frames in order. One that comes too late was given a wrong time by a damaged file, or the one before. */
  #checkOrder(frame: number): void {
    const before = this.#highest
    this.#highest = Math.max(before, frame)
    if (frame >= before) return
    for (const wrong of [before, frame]) {
      this.#distrusted.add(wrong)
      const cached = this.#cache.get(wrong)
      if (cached !== undefined) this.#cache.put(wrong, { ...cached, doubtful: true })
      this.#onDamage(wrong, 'doubtful')
    }
  }

  #settle(frame: number, decoded: Planes): void {
    const planes = this.#distrusted.has(frame) ? { ...decoded, doubtful: true } : decoded
    this.#pictureBytes = planes.buffer.byteLength
    this.#missing.delete(frame)
    this.#cache.put(frame, planes)
    if (planes.doubtful) this.#onDamage(frame, 'doubtful')
    this.#release(frame, { kind: 'planes', planes })
  }

  #settleMissing(frame: number): void {
    if (this.#cache.has(frame)) return
    this.#missing.add(frame)
    this.#onDamage(frame, 'missing')
    this.#release(frame, { kind: 'missing-frame' })
  }

  #release(frame: number, outcome: PlanesOutcome): void {
    for (let i = this.#waiters.length - 1; i >= 0; i--) {
      const waiter = this.#waiters[i]
      if (waiter?.frame !== frame) continue
      this.#waiters.splice(i, 1)
      waiter.resolve(outcome)
    }
  }

  #stopRun(): void {
    this.#run?.close()
    this.#run = null
  }

  async #recover(error: unknown): Promise<boolean> {
    const suspectFrom = await this.#source
      .startFor(Math.min(this.#frames - 1, Math.max(0, this.#position - 1)))
      .catch(() => 0)
    this.#stopRun()
    const failure = error instanceof DecodeFailure ? error : new DecodeFailure('decoding failed', { cause: error })
    const replacement = await this.#replace(failure, suspectFrom).catch(() => null)
    if (replacement !== null && !this.#closed) {
      this.#source.close()
      this.#source = replacement.source
      this.#missing.clear()
      // The next decoder says of each picture whether it is sound; this one did not.
      if (replacement.damaged) this.#cache.clear()
      return true
    }
    for (const waiter of this.#waiters.splice(0)) waiter.reject(failure)
    return false
  }
}
