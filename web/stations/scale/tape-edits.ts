import type { Draft } from 'immer'
import type { LaneLine, Px, SlowlaneRecord } from '../../../workers/record/index.ts'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'

/** A strip from a printer, checked with a steel rule, ticks read to its line (common practice, no source). */
export const tickHalf_m = 0.0003

/** The ticks of a tape along a lane: the first at `first_m`, the others `step_m` on from one to the next. */
export function putTape(
  draft: Draft<SlowlaneRecord>,
  viewId: string,
  laneId: string,
  points: readonly Px[],
  first_m: number,
  step_m: number,
): void {
  const line = draft.views[viewId]?.lines[laneId]
  if (!line) return
  line.ticks = points.map(({ x, y }, i) => ({ at: { x, y }, s_m: micrometres(first_m + i * step_m) }))
  line.tickPosition_m ??= writeStated(
    draft,
    undefined,
    {
      value: 0,
      distribution: { kind: 'rectangular', half: tickHalf_m },
      basis: 'printed strip, checked with a rule',
      unknown: false,
    },
    { name: 'place of each tick', unit: 'm' },
  )
}

/** Whole micrometres: 0.1 + 0.2 stays 0.3. */
const micrometres = (value_m: number): number => Math.round(value_m * 1e6) / 1e6

export function moveTick(line: Draft<LaneLine>, index: number, to: Px): void {
  const tick = line.ticks?.[index]
  if (tick) tick.at = { x: to.x, y: to.y }
}

export function removeTick(draft: Draft<SlowlaneRecord>, viewId: string, laneId: string, index: number): void {
  const line = draft.views[viewId]?.lines[laneId]
  line?.ticks?.splice(index, 1)
  if (line?.ticks?.length === 0) removeTape(draft, viewId, laneId)
}

export function removeTape(draft: Draft<SlowlaneRecord>, viewId: string, laneId: string): void {
  const line = draft.views[viewId]?.lines[laneId]
  if (!line) return
  delete line.ticks
  delete line.tickPosition_m
  dropUnusedSources(draft)
}
