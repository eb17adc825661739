/** Steps of labels that read well: 1, 2, 5 and their tens. */
export function niceStep(span: number, most: number): number {
  if (!(span > 0) || most < 1) return 1
  const raw = span / most
  const power = 10 ** Math.floor(Math.log10(raw))
  const ratio = raw / power
  // A hair of tolerance, so that 0.1 + 0.2 does not make a step ten times too long.
  const step = ratio <= 1.000001 ? 1 : ratio <= 2.000001 ? 2 : ratio <= 5.000001 ? 5 : 10
  return step * power
}

/** Frame numbers to label on a ruler of `width` CSS px: whole steps, never closer than `apart` px. */
export function rulerFrames(frames: number, width: number, apart = 100): number[] {
  if (frames < 2 || width <= 0) return frames === 1 ? [0] : []
  const step = Math.max(1, niceStep(frames - 1, Math.max(1, Math.floor(width / apart))))
  return Array.from({ length: Math.floor((frames - 1) / step) + 1 }, (_, i) => i * step)
}

/** Position [0, 1] of a frame on the ruler, and back: the first and last frame stand on the ends. */
export const onRuler = (frame: number, frames: number): number => (frames > 1 ? frame / (frames - 1) : 0)
export const frameOnRuler = (share: number, frames: number): number =>
  Math.min(frames - 1, Math.max(0, Math.round(share * (frames - 1))))

/** Stretches between marks where frames at the run's usual spacing are missing: [first, last] without a mark, ends included. */
export function gaps(marked: readonly number[]): (readonly [number, number])[] {
  if (marked.length < 3) return []
  const steps = marked.slice(1).map((frame, i) => frame - marked[i]!)
  const usual = [...steps].sort((a, b) => a - b)[Math.floor((steps.length - 1) / 2)]!
  return steps.flatMap((step, i) =>
    step > 1.5 * usual && step > usual + 1 ? [[marked[i]! + usual, marked[i]! + step - usual] as const] : [],
  )
}

/** The marked frame after or before `frame`; undefined when there is none. */
export const nextMarked = (marked: readonly number[], frame: number): number | undefined =>
  marked.find((f) => f > frame)
export const previousMarked = (marked: readonly number[], frame: number): number | undefined =>
  marked.findLast((f) => f < frame)
