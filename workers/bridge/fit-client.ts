import type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import type { CallOptions } from './calls.ts'
import type { FitCalls, MonteCarloArgs } from './fit-calls.ts'
import { RecordSender, type PackedRecord } from './packed-record.ts'
import { WorkerCalls, WorkerDied } from './worker-calls.ts'

export type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
export type { LaneResult } from '../fit/results.ts'
export type { MonteCarloArgs } from './fit-calls.ts'

export interface FitProgress {
  readonly done: number
  readonly of: number
}

/** Results computed beside the page. A call that is overtaken by a newer one of its kind is cancelled by its signal. */
export interface FitClient {
  /** Progress counts lanes. */
  laneResults(record: SlowlaneRecord, options?: CallOptions<FitProgress>): Promise<readonly LaneResult[]>
  /**
   * As `laneResults`, but only the newest call counts: a call that is overtaken is stopped and resolves to `stale`, so that the results of an older record
   * can never replace those of a newer one.
   */
  latestLaneResults(
    record: SlowlaneRecord,
    options?: CallOptions<FitProgress>,
  ): Promise<readonly LaneResult[] | 'stale'>
  /** Progress counts draws. */
  monteCarlo(args: MonteCarloArgs, options?: CallOptions<FitProgress>): Promise<MonteCarloOutcome>
  close(): void
}

const spawnFitWorker = (): Worker =>
  new Worker(new URL('../fit/fit.worker.ts', import.meta.url), { type: 'module', name: 'fit' })

export function fitClient(spawn: () => Worker = spawnFitWorker): FitClient {
  const calls = new WorkerCalls<FitCalls, never>(spawn, () => undefined)
  const sender = new RecordSender()
  let sentTo = 0
  let newest: AbortController | null = null

  /** Calls with a record of which only what changed goes over. A thread that died is replaced once without a word: the record holds everything. */
  async function callWith<Result>(
    record: SlowlaneRecord,
    signal: AbortSignal | undefined,
    call: (packed: PackedRecord, transfer: Transferable[]) => Promise<Result>,
  ): Promise<Result> {
    for (let attempt = 0; ; attempt++) {
      signal?.throwIfAborted()
      if (calls.generation !== sentTo) sender.forget()
      sentTo = calls.generation
      const { packed, transfer } = sender.pack(record)
      try {
        return await call(packed, transfer)
      } catch (error) {
        // Whatever failed, it is not known what the thread holds now; a cancelled call did arrive.
        if (signal?.aborted !== true) sender.forget()
        if (!(error instanceof WorkerDied) || attempt > 0) throw error
      }
    }
  }

  const laneResults: FitClient['laneResults'] = (record, options) =>
    callWith(record, options?.signal, (packed, transfer) =>
      calls.call('laneResults', { record: packed }, { ...options, transfer }),
    )
  return {
    laneResults,
    async latestLaneResults(record, options = {}) {
      newest?.abort()
      const mine = new AbortController()
      newest = mine
      const stop = () => mine.abort()
      options.signal?.addEventListener('abort', stop, { once: true })
      try {
        const results = await laneResults(record, { ...options, signal: mine.signal })
        return newest === mine ? results : 'stale'
      } catch (error) {
        if (newest !== mine && mine.signal.aborted) return 'stale'
        throw error
      } finally {
        options.signal?.removeEventListener('abort', stop)
      }
    },
    monteCarlo: (args, options) =>
      callWith(args.record, options?.signal, (record, transfer) =>
        calls.call('monteCarlo', { ...args, record }, { ...options, transfer }),
      ),
    close: () => calls.close(),
  }
}
