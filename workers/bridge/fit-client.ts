import type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import type { CallOptions } from './calls.ts'
import type { FitCalls, MonteCarloArgs } from './fit-calls.ts'
import { packRecord } from './packed-record.ts'
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
  let newest: AbortController | null = null
  const laneResults: FitClient['laneResults'] = (record, options) =>
    onceMore(() => calls.call('laneResults', { record: packRecord(record) }, options))
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
      onceMore(() => calls.call('monteCarlo', { ...args, record: packRecord(args.record) }, options)),
    close: () => calls.close(),
  }
}

/** A thread that died is replaced once without a word: the record holds everything it needs. */
async function onceMore<T>(call: () => Promise<T>): Promise<T> {
  try {
    return await call()
  } catch (error) {
    if (error instanceof WorkerDied) return call()
    throw error
  }
}
