import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { fitClient, type FitClient, type LaneResult } from '../../../workers/bridge/fit-client.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { recordStore } from '../../record/store.ts'

/** Results of the record as it was at `revision`; `working` while newer ones are on their way. */
export interface ResultsState {
  readonly results: readonly LaneResult[] | null
  readonly revision: number
  /** The record they were computed from; the open one may have gone on. */
  readonly of: SlowlaneRecord | null
  readonly working: boolean
  readonly failure: string | null
}

export const resultsStore = createStore<ResultsState>(() => ({
  results: null,
  revision: -1,
  of: null,
  working: false,
  failure: null,
}))

/** Typing and dragging settle before the fit is asked again [ms]: the longer when the results took long, so that on a large record a hand at work does not share its machine with fits that nobody will see. */
const settle = { least_ms: 120, most_ms: 1000, share: 0.25 } as const
let took_ms = 0

const settle_ms = (): number => Math.min(settle.most_ms, Math.max(settle.least_ms, settle.share * took_ms))

let client: FitClient | null = null
let waiting: ReturnType<typeof setTimeout> | null = null
let listeners = 0
let stop: (() => void) | null = null

/** The thread that computes; one for all pages that show results. */
export const fitThread = (): FitClient => (client ??= fitClient())

async function recompute(): Promise<void> {
  waiting = null
  const { record, revision } = recordStore.getState()
  if (revision === resultsStore.getState().revision) return
  resultsStore.setState({ working: true })
  const from = performance.now()
  try {
    const results = await fitThread().latestLaneResults(record)
    if (results !== 'stale') took_ms = performance.now() - from
    if (results !== 'stale') resultsStore.setState({ results, revision, of: record, working: false, failure: null })
  } catch (error) {
    const cause = error instanceof Error ? error.message : String(error)
    resultsStore.setState({
      working: false,
      failure: `The results could not be computed (${cause}). The record is untouched; change anything or reload to try again.`,
    })
  }
}

function schedule(wait_ms: number): void {
  if (waiting !== null) clearTimeout(waiting)
  waiting = setTimeout(() => void recompute(), wait_ms)
}

/** Keeps results fresh while anybody looks at them; calls `changed` whenever they change. Returns how to stop. */
export function watchResults(changed: () => void): () => void {
  const unlisten = resultsStore.subscribe(changed)
  listeners += 1
  if (listeners === 1) {
    schedule(0)
    stop = recordStore.subscribe((now, before) => {
      if (now.revision !== before.revision) schedule(settle_ms())
    })
  }
  return () => {
    unlisten()
    listeners -= 1
    if (listeners > 0) return
    stop?.()
    stop = null
  }
}

export function useResults(): ResultsState {
  return useStore(resultsStore)
}
