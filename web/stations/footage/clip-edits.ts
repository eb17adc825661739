import type { Draft } from 'immer'
import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import type { Clip, SlowlaneRecord } from '../../../workers/record/index.ts'
import { displayedSize, turnedOnce, wholeTurn } from '../../picture/orientation.ts'
import { dropUnusedSources } from '../stated/stated-edits.ts'
import { addView, dropUnusedViews, viewsOfSize } from './view-edits.ts'

/** Numbered stills carry no time: their frames count as one tick each, and the Time station asks for the filming rate. */
const stillsPerSecond = 1

/** Intervals further from the usual one than a tick, or 2 % where that is more, are uneven. */
function intervalsOf(facts: ClipFacts): Clip['interval'] {
  const steps = Array.from(facts.ticks.subarray(1), (tick, i) => tick - facts.ticks[i]!)
  if (steps.length === 0 || facts.timescale_hz === 0) return { median: 1, least: 1, greatest: 1, uneven: 0 }
  const sorted = [...steps].sort((a, b) => a - b)
  const median = sorted[sorted.length >> 1]!
  const slack = Math.max(1, 0.02 * median)
  return {
    median,
    least: Math.max(0, sorted[0]!),
    greatest: sorted.at(-1)!,
    uneven: steps.filter((step) => Math.abs(step - median) > slack).length,
  }
}

/** The facts of an opened clip as the record keeps them. `viewId` must be a view of the displayed size. */
export function clipFrom(facts: ClipFacts, id: string, viewId: string, now: string): Clip {
  const timeless = facts.timescale_hz === 0
  const last = facts.frames - 1
  return {
    id,
    name: facts.name.slice(0, 200),
    size: facts.size_bytes,
    quickKey: facts.quickKey,
    container: facts.container,
    codec: facts.codec,
    width: facts.codedWidth_px,
    height: facts.codedHeight_px,
    rotation: facts.rotation_deg,
    turn: 0,
    frames: facts.frames,
    timescale: timeless ? stillsPerSecond : facts.timescale_hz,
    firstTicks: timeless ? 0 : (facts.ticks[0] ?? 0),
    lastTicks: timeless ? last : (facts.ticks[last] ?? 0),
    interval: intervalsOf(facts),
    timestampStep_s: facts.timestampsRounded_s,
    fileRate_hz: facts.fileRate_hz ?? stillsPerSecond,
    filmingRateTag_hz: facts.filmingRateTag_hz,
    damage: facts.damage?.sentence ?? null,
    viewId,
    addedAt: now,
  }
}

/** The view a new clip is taken to be filmed from: the last one with pictures of its size, else a new one. */
export function viewForClip(draft: Draft<SlowlaneRecord>, facts: ClipFacts): { viewId: string; shared: boolean } {
  const size = displayedSize({ width: facts.codedWidth_px, height: facts.codedHeight_px }, facts.rotation_deg)
  const used = new Map(Object.values(draft.clips).map((clip) => [clip.viewId, clip.addedAt ?? '']))
  const same = viewsOfSize(draft, size)
    .filter((view) => used.has(view.id))
    .sort((a, b) => used.get(a.id)!.localeCompare(used.get(b.id)!))
    .at(-1)
  return same ? { viewId: same.id, shared: true } : { viewId: addView(draft, size), shared: false }
}

/** The clip's runs and lamp series go with it; a view nobody uses any more goes too. */
export function removeClip(draft: Draft<SlowlaneRecord>, clipId: string): void {
  delete draft.clips[clipId]
  for (const run of Object.values(draft.runs)) if (run.clipId === clipId) delete draft.runs[run.id]
  dropUnusedViews(draft)
  dropUnusedSources(draft)
}

/** Lets a clip be filmed from another camera position; its runs go along. The sizes of their pictures must agree. */
export function assignView(draft: Draft<SlowlaneRecord>, clipId: string, viewId: string): void {
  const clip = draft.clips[clipId]
  if (!clip) return
  clip.viewId = viewId
  for (const run of Object.values(draft.runs)) if (run.clipId === clipId) run.viewId = viewId
  dropUnusedViews(draft)
  dropUnusedSources(draft)
}

/**
 * Turns a view's picture a quarter clockwise: every clip of the view, and with them every point that was placed, so that nothing moves against
 * the footage.
 */
export function turnView(draft: Draft<SlowlaneRecord>, viewId: string): void {
  const view = draft.views[viewId]
  if (!view) return
  const before = { width: view.width, height: view.height }
  const turn = (p: { x: number; y: number }) => Object.assign(p, turnedOnce(p, before))
  for (const plane of Object.values(view.planes)) {
    if (plane.kind === 'bars') for (const bar of plane.bars) [bar.a, bar.b].forEach(turn)
    else {
      if (plane.kind === 'rectangle') plane.corners.forEach(turn)
      else for (const point of plane.points) turn(point.at)
      for (const bar of plane.checks ?? []) [bar.a, bar.b].forEach(turn)
    }
  }
  if (view.lens?.kind === 'edges') for (const edge of view.lens.edges) edge.forEach(turn)
  for (const line of view.gravity) [line.a, line.b].forEach(turn)
  for (const line of Object.values(view.lines)) {
    line.points.forEach(turn)
    for (const tick of line.ticks ?? []) turn(tick.at)
  }
  if (view.timebase.kind === 'measured' && view.timebase.clock.kind === 'free-fall')
    view.timebase.clock.points.forEach(turn)
  if (view.shutter) view.shutter.reads = readsAfter[view.shutter.reads]
  view.width = before.height
  view.height = before.width
  for (const clip of Object.values(draft.clips)) {
    if (clip.viewId !== viewId) continue
    clip.turn = wholeTurn(clip.turn, 90)
    if (clip.shake) {
      turn(clip.shake.about)
      const { dx, dy } = clip.shake
      clip.shake.dx = dy.map((value) => -value)
      clip.shake.dy = dx
    }
    if (clip.lamp) {
      const { x, y, width, height } = clip.lamp
      clip.lamp.x = before.height - y - height
      clip.lamp.y = x
      clip.lamp.width = height
      clip.lamp.height = width
    }
  }
  for (const run of Object.values(draft.runs)) {
    if (run.viewId !== viewId) continue
    const { x, y } = run.marks
    run.marks.x = y.map((value) => before.height - value)
    run.marks.y = x
  }
}

/** A quarter clockwise, what was read downwards is read to the left. */
const readsAfter = { down: 'left', left: 'up', up: 'right', right: 'down' } as const

/** Size of a clip's displayed picture. */
export const pictureOf = (clip: Clip): { width: number; height: number } =>
  displayedSize(clip, wholeTurn(clip.rotation, clip.turn))

/** First and last frame that matter; the whole clip takes the trim away. */
export function setTrim(clip: Draft<Clip>, first: number, last: number): void {
  const from = Math.max(0, Math.min(first, last))
  const to = Math.min(clip.frames - 1, Math.max(first, last))
  if (from === 0 && to === clip.frames - 1) delete clip.trim
  else clip.trim = { first: from, last: to }
}
