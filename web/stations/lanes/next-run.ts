import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { mountingsOf } from './slope-edits.ts'

/** What the next run will be of, as chosen by the person; null: as the last one was. */
interface Chosen {
  readonly ballId: string | null
  readonly finishId: string | null
}

export const chosenStore = createStore<Chosen>(() => ({ ballId: null, finishId: null }))
export const useChosen = (): Chosen => useStore(chosenStore, (s) => s)
export const choose = (change: Partial<Chosen>): void => chosenStore.setState(change)

export interface NextRun {
  readonly ballId: string | null
  readonly finishId: string | null
  readonly mountingId: string | null
}

/** Ball, finish and mounting of the next run on a lane: as chosen, else as the lane's last run, else the latest there is. */
export function nextRun(record: SlowlaneRecord, laneId: string, chosen: Chosen): NextRun {
  const runs = Object.values(record.runs)
  const last = runs.filter((run) => run.laneId === laneId).at(-1) ?? runs.at(-1)
  const finishes = Object.values(record.finishes).sort((a, b) => a.order - b.order)
  const held = <T>(table: Readonly<Record<string, T>>, ...ids: readonly (string | null | undefined)[]) =>
    ids.find((id) => id !== null && id !== undefined && table[id] !== undefined) ?? null
  return {
    ballId: held(record.balls, chosen.ballId, last?.ballId, Object.keys(record.balls).at(-1)),
    finishId: held(record.finishes, chosen.finishId, last?.finishId, finishes.at(-1)?.id),
    mountingId: mountingsOf(record, laneId).at(-1)?.id ?? null,
  }
}
