import type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
import type { LaneResult } from '../fit/results.ts'
import type { SlowlaneRecord } from '../record/index.ts'
import type { CallOptions } from './calls.ts'
import type { FitCalls } from './fit-calls.ts'
import { WorkerCalls, WorkerDied } from './worker-calls.ts'

export type { MonteCarloOutcome } from '../fit/monte-carlo.ts'
export type { LaneResult } from '../fit/results.ts'

/** Results computed beside the page. A call that is overtaken by a newer one of its kind is cancelled by its signal. */
export interface FitClient {
  laneResults(record: SlowlaneRecord, options?: CallOptions<never>): Promise<readonly LaneResult[]>
  monteCarlo(
    args: FitCalls['monteCarlo']['args'],
    options?: CallOptions<FitCalls['monteCarlo']['progress']>,
  ): Promise<MonteCarloOutcome>
  close(): void
}

const spawnFitWorker = (): Worker =>
  new Worker(new URL('../fit/fit.worker.ts', import.meta.url), { type: 'module', name: 'fit' })

export function fitClient(spawn: () => Worker = spawnFitWorker): FitClient {
  const calls = new WorkerCalls<FitCalls, never>(spawn, () => undefined)
  return {
    laneResults: (record, options) => onceMore(() => calls.call('laneResults', { record }, options)),
    monteCarlo: (args, options) => onceMore(() => calls.call('monteCarlo', args, options)),
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
