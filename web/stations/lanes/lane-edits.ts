import type { Draft } from 'immer'
import type { Guide, LaneLine, Px, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { newId } from '../../record/new-id.ts'
import { forgetKept } from '../margin/kept-numbers.ts'
import { addFinish } from './slope-edits.ts'
import { dropUnusedSources } from '../stated/stated-edits.ts'

/** The first letter that no lane has: A … Z, then A1 … Z9. */
export function freeKey(record: SlowlaneRecord): string {
  const taken = new Set(Object.values(record.lanes).map((lane) => lane.key))
  const letters = Array.from({ length: 26 }, (_, i) => String.fromCharCode(65 + i))
  const keys = [...letters, ...letters.flatMap((letter) => Array.from({ length: 9 }, (_, i) => `${letter}${i + 1}`))]
  const free = keys.find((key) => !taken.has(key))
  if (free === undefined) throw new Error('every lane letter is taken; the schema allows fewer lanes than letters')
  return free
}

/** A new lane with its first mounting, slope not known yet. Its guide is like the last lane's, since lanes are mostly made alike. */
export function addLane(draft: Draft<SlowlaneRecord>): { laneId: string; mountingId: string } {
  const key = freeKey(draft)
  const last = Object.values(draft.lanes).sort(byKey).at(-1)
  const laneId = newId('lane-')
  const mountingId = newId('mount-')
  draft.lanes[laneId] = {
    id: laneId,
    key,
    name: `Lane ${key}`,
    guide: last ? structuredClone(plain(last.guide)) : { kind: 'flat' },
    supports: [],
  }
  draft.mountings[mountingId] = { id: mountingId, laneId, name: 'as first mounted', slope: { kind: 'unknown' } }
  return { laneId, mountingId }
}

const plain = (guide: Guide): Guide => JSON.parse(JSON.stringify(guide)) as Guide

export const byKey = (a: { readonly key: string }, b: { readonly key: string }): number =>
  a.key.length - b.key.length || a.key.localeCompare(b.key)

/** A new lane with its line. The first lane brings a finish with it, since every run is of one. Returns the lane's id. */
export function drawLane(
  draft: Draft<SlowlaneRecord>,
  view: Draft<View>,
  points: readonly Px[],
  bent: 'polyline' | 'curve' = 'polyline',
): string {
  const { laneId } = addLane(draft)
  drawLine(view, laneId, points, bent)
  if (Object.keys(draft.finishes).length === 0) addFinish(draft, 'as cut')
  return laneId
}

/** The lane's line in a view, begun or replaced by its two ends, or by the points of a bent path. */
export function drawLine(
  view: Draft<View>,
  laneId: string,
  points: readonly Px[],
  bent: 'polyline' | 'curve' = 'polyline',
): void {
  const before = view.lines[laneId]
  const planes = Object.keys(view.planes)
  view.lines[laneId] = {
    laneId,
    planeId: before?.planeId ?? (planes.length === 1 ? planes[0]! : (planes[0] ?? null)),
    shape: points.length > 2 ? (before?.shape === 'curve' ? 'curve' : bent) : 'straight',
    points: points.map(({ x, y }) => ({ x, y })),
    ...(before?.nearer_m ? { nearer_m: before.nearer_m } : {}),
    ...(before?.ticks ? { ticks: before.ticks } : {}),
    ...(before?.tickPosition_m ? { tickPosition_m: before.tickPosition_m } : {}),
  }
}

/** Inserts a point where it lies between its neighbours, so that the line stays a line. */
export function insertPoint(line: Draft<LaneLine>, at: Px): number {
  let best = 1
  let least = Infinity
  for (let i = 1; i < line.points.length; i++) {
    const distance = toSegment(at, line.points[i - 1]!, line.points[i]!)
    if (distance < least) {
      least = distance
      best = i
    }
  }
  const start = line.points[0]!
  const end = line.points.at(-1)!
  const before = beyond(at, start, line.points[1]!)
  const after = beyond(at, end, line.points.at(-2)!)
  const index = before ? 0 : after ? line.points.length : best
  line.points.splice(index, 0, { x: at.x, y: at.y })
  if (line.shape === 'straight') line.shape = 'polyline'
  return index
}

/** True when the point lies on the far side of an end, seen from the line's inside. */
function beyond(at: Px, end: Px, inside: Px): boolean {
  return (at.x - end.x) * (end.x - inside.x) + (at.y - end.y) * (end.y - inside.y) > 0
}

function toSegment(p: Px, a: Px, b: Px): number {
  const dx = b.x - a.x
  const dy = b.y - a.y
  const length = dx * dx + dy * dy
  const t = length === 0 ? 0 : Math.min(1, Math.max(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / length))
  return Math.hypot(p.x - a.x - t * dx, p.y - a.y - t * dy)
}

/** Takes a point out; a line keeps at least its two ends. False when it is one of the last two. */
export function removePoint(line: Draft<LaneLine>, index: number): boolean {
  if (line.points.length <= 2) return false
  line.points.splice(index, 1)
  if (line.points.length === 2) line.shape = 'straight'
  return true
}

/** Runs that the lane carries: a lane with runs is not taken away without saying so. */
export const runsOf = (record: SlowlaneRecord, laneId: string): number =>
  Object.values(record.runs).filter((run) => run.laneId === laneId).length

/** Takes a lane away with everything that names it: its line in every view, mountings, runs, trials, and what was typed about it. */
export function removeLane(draft: Draft<SlowlaneRecord>, laneId: string): void {
  delete draft.lanes[laneId]
  for (const view of Object.values(draft.views)) delete view.lines[laneId]
  for (const mounting of Object.values(draft.mountings))
    if (mounting.laneId === laneId) delete draft.mountings[mounting.id]
  for (const run of Object.values(draft.runs)) if (run.laneId === laneId) delete draft.runs[run.id]
  for (const trial of Object.values(draft.trials)) if (trial.laneId === laneId) delete draft.trials[trial.id]
  for (const key of Object.keys(draft.settings.models))
    if (key.startsWith(`${laneId}.`)) delete draft.settings.models[key]
  forgetKept(draft, laneId)
  dropUnusedSources(draft)
}

/** Another fixing of the same lane, after it was taken off: its slope must be measured anew. */
export function addMounting(draft: Draft<SlowlaneRecord>, laneId: string): string {
  const count = Object.values(draft.mountings).filter((m) => m.laneId === laneId).length
  const id = newId('mount-')
  draft.mountings[id] = { id, laneId, name: `mounting ${count + 1}`, slope: { kind: 'unknown' } }
  return id
}
