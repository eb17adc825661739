import type { Draft } from 'immer'
import { parseSlope, type TypedSlope } from '../../../workers/measure/parse-slope.ts'
import type { Mounting, Slope, SlowlaneRecord, Stated } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { dropUnusedSources, writeStated, type StatedEntry } from '../stated/stated-edits.ts'

export type SlopeWay = 'typed' | 'heights' | 'along' | 'from-picture' | 'unknown'

export const wayOf = (slope: Slope): SlopeWay =>
  slope.kind === 'angle' || slope.kind === 'gradient' ? 'typed' : slope.kind

const degree = Math.PI / 180

/** A display of tenths: resolution and accuracy together (common practice, no source). */
export const inclinometer = { half: 0.1 * degree, basis: 'inclinometer, read to 0.1°' } as const
/** Heights of both ends by a rule, 1 mm on a metre (common practice, no source). */
export const byRule = { half: 0.001, basis: 'heights by rule' } as const

/** Heights above a flat bench by gauge or calliper (common practice, no source). */
export const heightGauge = { kind: 'rectangular', half: 0.0002 } as const

/** A height at a place along the lane; places stay sorted, one height a place. */
export function putStation(mounting: Draft<Mounting>, s_m: number, height_m: number): void {
  if (mounting.slope.kind !== 'along') return
  mounting.slope.stations = [...mounting.slope.stations.filter((one) => one.s_m !== s_m), { s_m, height_m }].sort(
    (a, b) => a.s_m - b.s_m,
  )
}

export function removeStation(mounting: Draft<Mounting>, index: number): void {
  if (mounting.slope.kind === 'along') mounting.slope.stations.splice(index, 1)
}

export const statedSlope = (slope: Slope): Stated | undefined =>
  slope.kind === 'angle' ? slope.angle_rad : slope.kind === 'gradient' ? slope.gradient : undefined

/** Writes a slope as it was typed; its ± stays where the way of saying it stays the same. */
export function typeSlope(
  draft: Draft<SlowlaneRecord>,
  mountingId: string,
  typed: Extract<TypedSlope, { kind: 'slope' }>,
  entered: string,
): void {
  const mounting = draft.mountings[mountingId]
  if (!mounting) return
  const before = mounting.slope
  mounting.entered = entered.slice(0, 200)
  if (typed.form === 'angle') {
    const previous = before.kind === 'angle' ? before.angle_rad : undefined
    const angle_rad = restated(draft, previous, typed.angle_rad, inclinometer, 'rad')
    mounting.slope = { kind: 'angle', angle_rad }
  } else {
    const previous = before.kind === 'gradient' ? before.gradient : undefined
    mounting.slope = { kind: 'gradient', gradient: restated(draft, previous, typed.gradient, byRule, '1') }
  }
  dropUnusedSources(draft)
}

function restated(
  draft: Draft<SlowlaneRecord>,
  previous: Draft<Stated> | undefined,
  value: number,
  usual: { readonly half: number; readonly basis: string },
  unit: 'rad' | '1',
): Draft<Stated> {
  if (previous) return { value, sources: [...previous.sources] }
  const entry: StatedEntry = {
    value,
    distribution: { kind: 'rectangular', half: usual.half },
    basis: usual.basis,
    unknown: false,
  }
  return writeStated(draft, undefined, entry, { name: 'slope of the lane', unit })
}

/** Another way to know the slope; what was typed before is gone with its source. */
export function chooseWay(
  draft: Draft<SlowlaneRecord>,
  mountingId: string,
  way: SlopeWay,
  viewId: string | null,
): void {
  const mounting = draft.mountings[mountingId]
  if (!mounting || wayOf(mounting.slope) === way) return
  delete mounting.entered
  switch (way) {
    case 'unknown':
      mounting.slope = { kind: 'unknown' }
      break
    case 'from-picture':
      if (viewId !== null) mounting.slope = { kind: 'from-picture', viewId }
      break
    case 'heights': {
      const length = (value: number, half: number, name: string) => {
        const distribution = { kind: 'rectangular', half } as const
        const entry = { value, distribution, basis: 'not measured yet', unknown: true }
        return writeStated(draft, undefined, entry, { name, unit: 'm' })
      }
      mounting.slope = {
        kind: 'heights',
        upper_m: length(0.02, 0.02, 'height of the upper support'),
        lower_m: length(0, 0.02, 'height of the lower support'),
        apart_m: length(0.5, 0.25, 'distance of the supports'),
      }
      break
    }
    case 'along': {
      const entry: StatedEntry = {
        value: 0,
        distribution: heightGauge,
        basis: 'height gauge or calliper',
        unknown: false,
      }
      mounting.slope = {
        kind: 'along',
        stations: [],
        height_m: writeStated(draft, undefined, entry, { name: 'height of each place', unit: 'm' }),
      }
      break
    }
    case 'typed':
      mounting.slope = { kind: 'unknown' }
      break
  }
  dropUnusedSources(draft)
}

export { parseSlope }

/** A finish gets its place after the others. */
export function addFinish(draft: Draft<SlowlaneRecord>, name: string): string {
  const id = newId('finish-')
  const order = Math.max(0, ...Object.values(draft.finishes).map((finish) => finish.order)) + 1
  draft.finishes[id] = { id, name, order }
  return id
}

/** Mountings of a lane in the order they were made: by date where known, else by id. */
export const mountingsOf = (record: SlowlaneRecord, laneId: string): readonly Mounting[] =>
  Object.values(record.mountings)
    .filter((mounting) => mounting.laneId === laneId)
    .sort((a, b) => (a.since ?? '').localeCompare(b.since ?? '') || a.name.localeCompare(b.name))
