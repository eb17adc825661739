import type { FrameJob } from './frame-job.ts'
import type { Luma } from './frame-source.ts'

export interface FrameChangesParams {
  readonly first: number
  /** Last frame, included. */
  readonly last: number
}

/** How the moving part of the picture changes from frame to frame; in grey levels of 8 bits. NaN where nothing moves or a picture is missing. */
export interface FrameChanges {
  readonly first: number
  /** Mean |frame − the one before| where something moves. */
  readonly step: Float64Array
  /** Mean |next − 2 · frame + the one before| in the same place. */
  readonly bend: Float64Array
  /** What changes on this frame, as a share of what changes before and after it in the same place: next to 0 for a repeat. */
  readonly share: Float64Array
  /** What `step` is where nothing moves. */
  readonly noise: number
}

/** Frames on either side that say where something moves. Longer than the longest rhythm of invented frames that is looked for. */
const reach = 12
/** Frames on either side that a repeat is held against. */
const beside = 6
/** Width to which pictures are thinned: enough to see a ball move. */
const thinnedWidth = 960
const block = 16
/** Frames whose quiet blocks tell the noise. */
const noiseFrames = 40
/** A block moves where it changes by more than this [grey levels], four times the noise, and a quarter of the block that changes most. */
const leastChange = 0.6

/** Without a block that changes by this much at least twice [grey levels], nothing moves: compression alone stays below. */
const leastMotion = 3

/** Blocks that a repeat must show in: a single one at the edge of the picture may be held back by the compression for a frame. */
const fewestBlocks = 2

interface Changes {
  readonly step: Float32Array
  readonly bend: Float32Array
  /** Number of the frame that is held; −1 while nothing is known. */
  frame: number
}

/**
 * Changes of the picture over time, for telling repeated and invented frames. Where the whole picture jumps (a key frame, a lamp switched) and little
 * moves beside, a share is not told, and a repeat there stays unseen. Holds blocks of 25 frames, whatever the clip's length.
 */
export const frameChanges: FrameJob<FrameChangesParams, FrameChanges, { readonly fraction: number }> = async (
  source,
  params,
  context,
) => {
  const first = Math.max(0, params.first)
  const last = Math.min(source.frames - 1, params.last)
  const n = Math.max(0, last - first + 1)
  const result = {
    first,
    step: new Float64Array(n).fill(NaN),
    bend: new Float64Array(n).fill(NaN),
    share: new Float64Array(n).fill(NaN),
  }
  const every = Math.max(1, Math.round(source.width / thinnedWidth))
  const [width, height] = [Math.floor(source.width / every), Math.floor(source.height / every)]
  const blocks = Math.ceil(width / block) * Math.ceil(height / block)
  const ring = Array.from({ length: 2 * reach + 1 }, (): Changes => ({
    step: new Float32Array(blocks),
    bend: new Float32Array(blocks),
    frame: -1,
  }))
  const quiet: number[] = []
  let noise = 0
  let before: Float32Array | null = null
  let beforeThat: Float32Array | null = null

  for (let i = 0; i < n; i++) {
    const held = ring[i % ring.length]!
    held.frame = -1
    const outcome = await source.luma(first + i, context.signal)
    const now: Float32Array | null = outcome.kind === 'luma' ? thinned(outcome.luma, every, width, height) : null
    if (now && before) {
      const past = ring[(i - 1 + ring.length) % ring.length]!
      blockChanges(width, now, before, past.frame === i - 1 ? beforeThat : null, held.step, past.bend)
      held.frame = i
      if (quiet.length < noiseFrames) {
        quiet.push(middleOf(held.step))
        noise = middleOf(Float32Array.from(quiet))
      }
    }
    beforeThat = before
    before = now
    if (i >= reach) settle(result, ring, i - reach, noise)
    context.report({ fraction: (i + 1) / n })
  }
  for (let i = Math.max(0, n - reach); i < n; i++) settle(result, ring, i, noise)
  // The last frame has no neighbour on one side.
  if (n > 0) result.bend[n - 1] = NaN
  return { ...result, noise }
}

/** Puts together what a frame and its neighbours changed. */
function settle(
  result: Pick<FrameChanges, 'step' | 'bend' | 'share'>,
  ring: readonly Changes[],
  i: number,
  noise: number,
): void {
  const held = ring[i % ring.length]!
  if (held.frame !== i) return
  const near = ring.filter((one) => one.frame >= 0 && Math.abs(one.frame - i) <= reach)
  const blocks = held.step.length
  const moved = new Float32Array(blocks)
  const least = Math.max(leastChange, 4 * noise)
  let [most, lasting] = [0, 0]
  for (let b = 0; b < blocks; b++) {
    moved[b] = greatest(near, b, i - reach, i + reach, 2)
    most = Math.max(most, moved[b]!)
    if (moved[b]! > least) lasting = Math.max(lasting, greatest(near, b, i - reach, i + reach, 4))
  }
  // A lamp that goes on and off changes by far more than any ball, but seldom: where something changes often, that is what moves.
  if (lasting > leastMotion) most = lasting
  if (most < Math.max(leastMotion, 1.5 * least)) return
  const clear = Math.max(least, most / 4)
  let [steps, bends, count, seen, usual, all, told] = [0, 0, 0, 0, 0, 0, 0]
  for (let b = 0; b < blocks; b++) {
    if (moved[b]! <= clear) continue
    steps += held.step[b]!
    bends += held.bend[b]!
    count++
    all += Math.min(moved[b]!, most)
    const earlier = greatest(near, b, i - beside, i - 1, 2)
    const later = greatest(near, b, i + 1, i + beside, 2)
    if (Math.min(earlier, later) <= Math.max(least, clear / 2)) continue
    told++
    usual += Math.min(earlier, later) - noise
    seen += Math.max(0, held.step[b]! - noise)
  }
  if (count > 0) {
    result.step[i] = steps / count
    result.bend[i] = bends / count
  }
  // Where little of what moves goes on in the same place, such as between two balls, nothing can repeat.
  if (told >= fewestBlocks && usual > 0.1 * all) result.share[i] = seen / usual
}

const scratch = new Float32Array(4)

/** The `nth` greatest change (1 … 4) of a block over some frames. The second: a single one is a key frame of the compression, not a ball. */
function greatest(near: readonly Changes[], b: number, from: number, to: number, nth: number): number {
  const most = scratch.fill(0)
  for (const { frame, step } of near) {
    if (frame < from || frame > to) continue
    let change = step[b]!
    for (let k = 0; k < nth; k++) {
      const held = most[k]!
      if (change <= held) continue
      most[k] = change
      change = held
    }
  }
  return most[nth - 1]!
}

/** Every `every`th pixel each way, as grey levels of 8 bits, brought to a mean of 128: lamps that flicker move nothing. */
function thinned(luma: Luma, every: number, width: number, height: number): Float32Array {
  const out = new Float32Array(width * height)
  let sum = 0
  for (let y = 0; y < height; y++) {
    const row = y * every * luma.stride
    for (let x = 0; x < width; x++) {
      const value = luma.data[row + x * every]!
      out[y * width + x] = value
      sum += value
    }
  }
  const scale = sum > 0 ? (128 * out.length) / sum : 1
  for (let p = 0; p < out.length; p++) out[p] = out[p]! * scale
  return out
}

/** Mean changes of each block: of this frame against the one before, and what bends at the one before. */
function blockChanges(
  width: number,
  now: Float32Array,
  before: Float32Array,
  beforeThat: Float32Array | null,
  step: Float32Array,
  bend: Float32Array,
): void {
  const height = now.length / width
  const columns = Math.ceil(width / block)
  for (let b = 0; b < step.length; b++) {
    const x0 = (b % columns) * block
    const y0 = Math.floor(b / columns) * block
    const [x1, y1] = [Math.min(width, x0 + block), Math.min(height, y0 + block)]
    let [steps, bends] = [0, 0]
    for (let y = y0; y < y1; y++)
      for (let p = y * width + x0; p < y * width + x1; p++) {
        const change = now[p]! - before[p]!
        steps += Math.abs(change)
        if (beforeThat) bends += Math.abs(change - (before[p]! - beforeThat[p]!))
      }
    const pixels = (x1 - x0) * (y1 - y0)
    step[b] = steps / pixels
    if (beforeThat) bend[b] = bends / pixels
  }
}

function middleOf(values: Float32Array): number {
  const sorted = values.slice().sort()
  return sorted[sorted.length >> 1] ?? 0
}
