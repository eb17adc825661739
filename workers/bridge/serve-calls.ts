import type { FromWorker, MethodTable, ToWorker } from './calls.ts'

/** What a method is given besides its argument. */
export interface ServeContext<Progress> {
  readonly signal: AbortSignal
  readonly report: (progress: Progress) => void
}

/** An answer whose memory is handed over instead of copied. */
export class Transferred<Value> {
  readonly value: Value
  readonly transfer: Transferable[]
  constructor(value: Value, transfer: Transferable[]) {
    this.value = value
    this.transfer = transfer
  }
}

export type Handlers<Table extends MethodTable> = {
  readonly [Name in keyof Table]: (
    args: Table[Name]['args'],
    context: ServeContext<Table[Name]['progress']>,
  ) => Promise<Table[Name]['result'] | Transferred<Table[Name]['result']>>
}

/** The side of a dedicated worker: answers calls, cancels them, and answers pings. Returns how to send events. */
export function serveCalls<Table extends MethodTable, Event>(
  scope: DedicatedWorkerGlobalScope,
  handlers: Handlers<Table>,
): (event: Event) => void {
  const running = new Map<number, AbortController>()
  const post = (message: FromWorker, transfer: Transferable[] = []): void => scope.postMessage(message, { transfer })

  const answer = async (id: number, method: string, args: unknown): Promise<void> => {
    const handler = (handlers as Record<string, Handlers<MethodTable>[string] | undefined>)[method]
    const control = new AbortController()
    running.set(id, control)
    try {
      if (handler === undefined) throw new Error(`this thread knows no “${method}”`)
      const report = (value: unknown): void => {
        if (!control.signal.aborted) post({ kind: 'progress', id, value })
      }
      const result = await handler(args, { signal: control.signal, report })
      if (result instanceof Transferred) post({ kind: 'done', id, value: result.value }, result.transfer)
      else post({ kind: 'done', id, value: result })
    } catch (error) {
      const { name, message } = error instanceof Error ? error : new Error(String(error))
      post({ kind: 'failed', id, name, message })
    } finally {
      running.delete(id)
    }
  }

  scope.addEventListener('message', (event: MessageEvent<ToWorker>) => {
    const message = event.data
    switch (message.kind) {
      case 'call':
        void answer(message.id, message.method, message.args)
        return
      case 'cancel':
        running.get(message.id)?.abort(new DOMException('cancelled by the caller', 'AbortError'))
        return
      case 'ping':
        post({ kind: 'pong', id: message.id })
    }
  })
  tellLife(scope, post)
  return (event) => post({ kind: 'event', value: event })
}

/** A thread that is ended by the browser sends no word of it; a lock that it held falls free. Browsers without locks are left to the pings. */
function tellLife(scope: DedicatedWorkerGlobalScope, post: (message: FromWorker) => void): void {
  // Absent outside secure pages, whatever the type says.
  const locks = scope.navigator?.locks as LockManager | undefined
  const lock = `thread ${crypto.randomUUID?.() ?? ''}`
  if (!locks || lock.length < 20) return
  void locks.request(lock, () => {
    post({ kind: 'alive', lock })
    return new Promise<never>(() => undefined)
  })
}
