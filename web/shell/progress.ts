import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** One long piece of work that is shown while it lasts. */
export interface Work {
  readonly id: number
  readonly name: string
  readonly done: number
  /** 0 while it is not known how much there is. */
  readonly total: number
  /** What is counted: “frames”, “MB”. */
  readonly unit: string
  readonly startedAt_ms: number
  readonly cancel: (() => void) | null
}

export const workStore = createStore<{ readonly works: readonly Work[] }>(() => ({ works: [] }))

export function useWorks(): readonly Work[] {
  return useStore(workStore, (state) => state.works)
}

export interface WorkHandle {
  /** Aborted when the person cancels. */
  readonly signal: AbortSignal
  readonly progress: (done: number, total: number) => void
  readonly end: () => void
}

let lastId = 0

/** Announces a long piece of work. End it whatever happens: `try { … } finally { work.end() }`. */
export function beginWork(name: string, unit: string): WorkHandle {
  const id = ++lastId
  const abort = new AbortController()
  const work: Work = {
    id,
    name,
    done: 0,
    total: 0,
    unit,
    startedAt_ms: performance.now(),
    cancel: () => abort.abort(new DOMException(`${name}: cancelled`, 'AbortError')),
  }
  workStore.setState(({ works }) => ({ works: [...works, work] }))
  return {
    signal: abort.signal,
    progress: (done, total) =>
      workStore.setState(({ works }) => ({ works: works.map((w) => (w.id === id ? { ...w, done, total } : w)) })),
    end: () => workStore.setState(({ works }) => ({ works: works.filter((w) => w.id !== id) })),
  }
}

export interface Pace {
  readonly fraction: number | null
  /** Units a second since the start; null before anything is done. */
  readonly rate_per_s: number | null
  /** null while it cannot be said. */
  readonly left_s: number | null
}

/** Rate and time left of a piece of work at `now_ms`; nothing is said in the first half second. */
export function paceOf(work: Pick<Work, 'done' | 'total' | 'startedAt_ms'>, now_ms: number): Pace {
  const fraction = work.total > 0 ? Math.min(1, work.done / work.total) : null
  const passed_s = (now_ms - work.startedAt_ms) / 1000
  if (passed_s < 0.5 || work.done <= 0) return { fraction, rate_per_s: null, left_s: null }
  const rate_per_s = work.done / passed_s
  return { fraction, rate_per_s, left_s: work.total > 0 ? Math.max(0, work.total - work.done) / rate_per_s : null }
}
