import type { CallOptions, FromWorker, MethodTable, ToWorker } from './calls.ts'

/** The thread died while it was working; the same call may succeed in a new one. */
export class WorkerDied extends Error {
  override readonly name = 'WorkerDied'
  /** `silent` when it was ended for not answering: the same call will most likely go the same way. */
  readonly how: 'silent' | 'ended'
  constructor(message: string, how: 'silent' | 'ended' = 'ended') {
    super(message)
    this.how = how
  }
}

/** A method of the other thread failed in a way that it does not count as an answer. */
export class WorkerError extends Error {
  override readonly name: string
  constructor(name: string, message: string) {
    super(message)
    this.name = name
  }
}

interface Pending {
  readonly settle: (value: unknown) => void
  readonly reject: (error: Error) => void
  readonly onProgress: ((value: unknown) => void) | undefined
  readonly patience_ms: number
}

/** A thread that does not answer a ping for so long while work is under way counts as dead. */
export const silence_ms = 15_000
const pingEvery_ms = 3_000

/** Calls into a worker: cancel, progress, hand-over of memory, and notice of its death.
 *  A dead worker is replaced on the next call. Answers that come after a cancel go to `onStale`. */
export class WorkerCalls<Table extends MethodTable, Event> {
  readonly #spawn: () => Worker
  readonly #onEvent: (event: Event) => void
  readonly #onStale: (value: unknown) => void
  readonly #pending = new Map<number, Pending>()
  readonly #stale = new Set<number>()
  #worker: Worker | null = null
  #nextId = 1
  #heard_ms = 0
  /** Whether the present worker ever said a word: while its script is on the way, no patience is too long. */
  #spoke = false
  #pinging: ReturnType<typeof setInterval> | null = null
  #generation = 0

  constructor(
    spawn: () => Worker,
    onEvent: (event: Event) => void,
    onStale: (value: unknown) => void = () => undefined,
  ) {
    this.#spawn = spawn
    this.#onEvent = onEvent
    this.#onStale = onStale
  }

  /** Counts the workers so far: state kept in an earlier one is gone. */
  get generation(): number {
    this.#alive()
    return this.#generation
  }

  call<Name extends keyof Table & string>(
    method: Name,
    args: Table[Name]['args'],
    options: CallOptions<Table[Name]['progress']> = {},
  ): Promise<Table[Name]['result']> {
    const { signal, onProgress, transfer, patience_ms = silence_ms } = options
    return new Promise<Table[Name]['result']>((resolve, reject) => {
      signal?.throwIfAborted()
      const id = this.#nextId++
      const worker = this.#alive()
      const abort = (): void => {
        if (!this.#pending.delete(id)) return
        this.#stale.add(id)
        this.#send(worker, { kind: 'cancel', id })
        reject(signal?.reason as Error)
      }
      const unlisten = (): void => signal?.removeEventListener('abort', abort)
      this.#pending.set(id, {
        settle: (value) => {
          unlisten()
          resolve(value)
        },
        reject: (error) => {
          unlisten()
          reject(error)
        },
        onProgress,
        patience_ms,
      })
      signal?.addEventListener('abort', abort, { once: true })
      this.#send(worker, { kind: 'call', id, method, args }, transfer)
      this.#watch()
    })
  }

  /** Ends the worker; what is under way is rejected. */
  close(): void {
    this.#bury('the thread was closed')
  }

  #alive(): Worker {
    if (this.#worker !== null) return this.#worker
    const worker = this.#spawn()
    worker.addEventListener('message', (event: MessageEvent<FromWorker>) => {
      if (worker !== this.#worker) return
      if (event.data.kind === 'alive') this.#awaitEnd(worker, event.data.lock)
      else this.#receive(event.data)
    })
    worker.addEventListener('error', (event) => {
      if (worker === this.#worker) this.#bury(event.message)
    })
    this.#worker = worker
    this.#generation += 1
    this.#spoke = false
    this.#heard_ms = performance.now()
    return worker
  }

  #send(worker: Worker, message: ToWorker, transfer: Transferable[] = []): void {
    worker.postMessage(message, transfer)
  }

  /** Notices the end of a thread at once, even one that the browser ended without a word. */
  #awaitEnd(worker: Worker, lock: string): void {
    void navigator.locks.request(lock, () => {
      if (worker === this.#worker) this.#bury('the thread ended')
    })
  }

  #receive(message: Exclude<FromWorker, { kind: 'alive' }>): void {
    this.#spoke = true
    this.#heard_ms = performance.now()
    if (message.kind === 'event') {
      this.#onEvent(message.value as Event)
      return
    }
    if (message.kind === 'pong') return
    const call = this.#pending.get(message.id)
    if (message.kind === 'progress') {
      call?.onProgress?.(message.value)
      return
    }
    if (call === undefined) {
      if (this.#stale.delete(message.id) && message.kind === 'done') this.#onStale(message.value)
      return
    }
    this.#pending.delete(message.id)
    if (message.kind === 'done') call.settle(message.value)
    else call.reject(new WorkerError(message.name, message.message))
  }

  #watch(): void {
    if (this.#pinging !== null) return
    this.#heard_ms = performance.now()
    let last_ms = performance.now()
    this.#pinging = setInterval(() => {
      const now_ms = performance.now()
      // A machine that slept, or a page held back in the background, must not be taken for a dead thread.
      if (now_ms - last_ms > 2 * pingEvery_ms) this.#heard_ms = now_ms
      last_ms = now_ms
      if (this.#pending.size === 0 || this.#worker === null) {
        this.#unwatch()
        return
      }
      if (now_ms - this.#heard_ms > this.#patience_ms()) this.#bury('the thread stopped answering', 'silent')
      else this.#send(this.#worker, { kind: 'ping', id: 0 })
    }, pingEvery_ms)
  }

  #patience_ms(): number {
    return this.#spoke ? Math.max(...[...this.#pending.values()].map((call) => call.patience_ms)) : silence_ms
  }

  #unwatch(): void {
    if (this.#pinging !== null) clearInterval(this.#pinging)
    this.#pinging = null
  }

  #bury(cause: string, how: 'silent' | 'ended' = 'ended'): void {
    this.#worker?.terminate()
    this.#worker = null
    this.#unwatch()
    this.#stale.clear()
    const lost = [...this.#pending.values()]
    this.#pending.clear()
    for (const call of lost) call.reject(new WorkerDied(cause, how))
  }
}
