import { compileCore, ffmpegUrls } from './ffmpeg-core.ts'
import {
  controlSlot,
  type FfmpegExec,
  type FfmpegFrame,
  type FfmpegReport,
  type FfmpegStart,
} from './ffmpeg-messages.ts'
import { DecodeFailure } from './picture-source.ts'
import { Bell } from './wake.ts'

/** True in a build that carries the ffmpeg core. */
export const ffmpegIncluded = !import.meta.env.VITE_WITHOUT_FFMPEG

/** Whether frames can be pulled one by one: the page must be cross-origin isolated, so that memory may be shared. */
export const canPull = (): boolean => self.crossOriginIsolated && typeof SharedArrayBuffer !== 'undefined'

let compiled: Promise<{ coreUrl: string; module: WebAssembly.Module }> | null = null

async function loadCore(signal: AbortSignal, onFraction: (fraction: number | null) => void): Promise<FfmpegStart> {
  const urls = await ffmpegUrls()
  if (urls === null) throw new DecodeFailure('this build has no ffmpeg core')
  compiled ??= compileCore(urls.wasmUrl, signal, onFraction).then((module) => ({ coreUrl: urls.coreUrl, module }))
  try {
    return { kind: 'start', ...(await compiled) }
  } catch (error) {
    // The next clip may try again, for instance when the network is back.
    compiled = null
    throw error
  }
}

/** One call of ffmpeg under way. */
export interface FfmpegCall {
  /** The next picture; null when there are no more. Throws `DecodeFailure` when ffmpeg crashed. */
  frame(): Promise<FfmpegFrame | null>
  /** Waits for the end; frames that come meanwhile are let go. */
  done(): Promise<{ readonly ret: number; readonly log: readonly string[]; readonly text: string }>
  /** Lets the call run on until so many pictures lie ready. */
  allow(frames: number): void
  /** Ends the call early. The thread is free for the next one soon after. */
  stop(): void
}

export type FfmpegJob = Omit<FfmpegExec, 'kind' | 'id' | 'control'> & {
  /** True to pull frames under control of `allow`; false to let the call run to its end. */
  readonly pull: boolean
  readonly onRead?: (position: number) => void
}

/** The thread that runs ffmpeg for one clip; one call at a time, in the order they were asked for. */
export class FfmpegThread {
  #worker: Worker | null = null
  #start: FfmpegStart | null = null
  #calls = new Map<number, Call>()
  #nextId = 1

  /** Loads the core when this is the first clip to need it. */
  async ready(signal: AbortSignal, onFraction: (fraction: number | null) => void): Promise<void> {
    this.#start ??= await loadCore(signal, onFraction)
  }

  /** Another thread with the same core: one can run while the other is held. */
  fork(): FfmpegThread {
    const twin = new FfmpegThread()
    twin.#start = this.#start
    return twin
  }

  exec(job: FfmpegJob): FfmpegCall {
    const id = this.#nextId++
    const control = job.pull && canPull() ? new SharedArrayBuffer(8) : null
    const call = new Call(control, job.onRead ?? null, () => this.#abandon(id))
    this.#calls.set(id, call)
    const { pull: _pull, onRead: _onRead, ...rest } = job
    this.#thread().postMessage({ kind: 'exec', id, control, ...rest } satisfies FfmpegExec)
    return call
  }

  close(): void {
    this.#worker?.terminate()
    this.#worker = null
    for (const call of this.#calls.values()) call.fail(new DecodeFailure('the clip was closed'))
    this.#calls.clear()
  }

  #thread(): Worker {
    if (this.#worker !== null) return this.#worker
    if (this.#start === null) throw new DecodeFailure('ffmpeg was not loaded')
    const worker = new Worker(new URL('./ffmpeg.worker.ts', import.meta.url), { type: 'module', name: 'ffmpeg' })
    worker.addEventListener('message', (event: MessageEvent<FfmpegReport>) => this.#receive(event.data))
    worker.addEventListener('error', (event) => this.#crash(event.message))
    worker.postMessage(this.#start)
    this.#worker = worker
    return worker
  }

  #receive(report: FfmpegReport): void {
    if (report.kind === 'crashed') {
      this.#crash(report.cause)
      return
    }
    const call = this.#calls.get(report.id)
    if (call === undefined) return
    call.take(report)
    if (report.kind === 'done') this.#calls.delete(report.id)
  }

  #crash(cause: string): void {
    this.#worker?.terminate()
    this.#worker = null
    for (const call of this.#calls.values()) call.fail(new DecodeFailure(`ffmpeg crashed: ${cause}`))
    this.#calls.clear()
  }

  /** Without shared counters a call cannot be told to stop: its thread ends, and the next call gets a new one. */
  #abandon(id: number): void {
    const call = this.#calls.get(id)
    if (call === undefined || call.pulled) return
    this.#crash('stopped')
  }
}

class Call implements FfmpegCall {
  readonly #control: Int32Array | null
  readonly #onRead: ((position: number) => void) | null
  readonly #abandon: () => void
  readonly #frames: FfmpegFrame[] = []
  readonly #bell = new Bell()
  #done: { ret: number; log: readonly string[]; text: string } | null = null
  #failure: DecodeFailure | null = null
  #stopped = false

  constructor(control: SharedArrayBuffer | null, onRead: ((position: number) => void) | null, abandon: () => void) {
    this.#control = control === null ? null : new Int32Array(control)
    this.#onRead = onRead
    this.#abandon = abandon
  }

  get pulled(): boolean {
    return this.#control !== null
  }

  take(report: Exclude<FfmpegReport, { kind: 'crashed' }>): void {
    if (report.kind === 'read') this.#onRead?.(report.position)
    else if (report.kind === 'done') this.#done = { ret: report.ret, log: report.log, text: report.text }
    else if (!this.#stopped) this.#frames.push(report)
    this.#bell.ring()
  }

  fail(failure: DecodeFailure): void {
    this.#failure ??= failure
    this.#bell.ring()
  }

  async frame(): Promise<FfmpegFrame | null> {
    for (;;) {
      const frame = this.#frames.shift()
      if (frame !== undefined) return frame
      if (this.#done !== null || this.#stopped) return null
      if (this.#failure !== null) throw this.#failure
      await this.#bell.heard()
    }
  }

  async done(): Promise<{ ret: number; log: readonly string[]; text: string }> {
    while (this.#done === null) {
      if (this.#failure !== null) throw this.#failure
      this.#frames.length = 0
      await this.#bell.heard()
    }
    return this.#done
  }

  allow(frames: number): void {
    if (this.#control === null) return
    Atomics.store(this.#control, controlSlot.allowed, frames)
    Atomics.notify(this.#control, controlSlot.allowed)
  }

  stop(): void {
    if (this.#stopped) return
    this.#stopped = true
    this.#frames.length = 0
    if (this.#done === null && this.#failure === null) {
      if (this.#control === null) this.#abandon()
      else {
        Atomics.store(this.#control, controlSlot.stop, 1)
        Atomics.add(this.#control, controlSlot.allowed, 1)
        Atomics.notify(this.#control, controlSlot.allowed)
      }
    }
    this.#bell.ring()
  }
}
