/** The part of time that a sheet shows, in frames; time runs down. */
export interface Window {
  readonly from: number
  readonly to: number
}

/** Fewer frames than this are never spread over a sheet. */
const fewest = 24

/** Zooms time by `factor` (below 1: closer) so that `at` (0 top … 1 bottom) stays where it is, within `whole`. */
export function zoomedTime(window: Window, factor: number, at: number, whole: Window): Window {
  const span = Math.min(
    whole.to - whole.from,
    Math.max(Math.min(fewest, whole.to - whole.from), (window.to - window.from) * factor),
  )
  const still = window.from + at * (window.to - window.from)
  return held({ from: still - at * span, to: still + (1 - at) * span }, whole)
}

export const pannedTime = (window: Window, frames: number, whole: Window): Window =>
  held({ from: window.from + frames, to: window.to + frames }, whole)

function held(window: Window, whole: Window): Window {
  const span = window.to - window.from
  const from = Math.min(Math.max(window.from, whole.from), whole.to - span)
  return { from, to: from + span }
}

/** Frame under a height (0 top … 1 bottom), whole and inside the window. */
export function frameAt(window: Window, at: number): number {
  return Math.min(
    Math.ceil(window.to) - 1,
    Math.max(Math.floor(window.from), Math.floor(window.from + at * (window.to - window.from))),
  )
}
