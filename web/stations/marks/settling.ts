import { createStore } from 'zustand/vanilla'
import { useStore } from 'zustand'
import type { Clip, LaneLine, Px } from '../../../workers/record/index.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { hundredth } from '../../picture/overlay.ts'

/** Whether a press settles on the ball's outline, or stays exactly where it was. A way of working, no part of the record. */
const settlingStore = createStore<{ readonly on: boolean }>(() => ({ on: true }))
export const useSettling = (): boolean => useStore(settlingStore, (s) => s.on)
export const setSettling = (on: boolean): void => settlingStore.setState({ on })
export const isSettling = (): boolean => settlingStore.getState().on

export type SettleOutcome =
  | { readonly kind: 'settled'; readonly at: Px; readonly sigma_px: number }
  /** No outline to settle on; the sentence says why. */
  | { readonly kind: 'unsure'; readonly says: string }
  /** The frames cannot be looked at, or it took too long. */
  | { readonly kind: 'no-look' }

/** A press waits no longer than this for its outline. */
const patience_ms = 2000

/** Looks for the ball's outline near a press. `line`: the direction along which σ is meant. */
export async function settle(
  clip: Clip,
  frame: number,
  at: Px,
  expectedRadius: number | null,
  line: LaneLine | undefined,
): Promise<SettleOutcome> {
  const open = openClipOf(clip.id)
  if (!open) return { kind: 'no-look' }
  try {
    const outcome = await open.run(
      'settle-click',
      { frame, x: at.x, y: at.y, turn_deg: clip.turn, ...(expectedRadius === null ? {} : { expectedRadius }) },
      { signal: AbortSignal.timeout(patience_ms) },
    )
    switch (outcome.kind) {
      case 'settled':
        return { kind: 'settled', at: hundredth(outcome), sigma_px: alongLine(outcome.sigma, line) }
      case 'unsure':
        return { kind: 'unsure', says: outcome.says }
      case 'mirrored':
        return { kind: 'no-look' }
    }
  } catch (cause) {
    console.warn('a press was not settled', cause)
    return { kind: 'no-look' }
  }
}

function alongLine(sigma: { readonly x: number; readonly y: number }, line: LaneLine | undefined): number {
  const first = line?.points[0]
  const last = line?.points.at(-1)
  if (!first || !last) return Math.max(sigma.x, sigma.y)
  const length = Math.hypot(last.x - first.x, last.y - first.y) || 1
  return Math.hypot((sigma.x * (last.x - first.x)) / length, (sigma.y * (last.y - first.y)) / length)
}
