import type { FrameSource } from '../../decode/frame-source.ts'
import { storedPixel, toEightBit, type Rotation } from '../../locate/frame-source.ts'
import type { LumaPatch } from '../../measure/luma-patch.ts'
import type { Px } from '../../record/index.ts'

/** Whole pixels of the displayed picture. */
export interface DisplayedRect {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Why a frame's pixels cannot be looked at. */
export type NoPixels = { readonly kind: 'mirrored' } | { readonly kind: 'missing-frame'; readonly frame: number }

const turns: readonly Rotation[] = [0, 90, 180, 270]

/** The clockwise turn from stored to displayed pictures: the file's and the person's. */
export const turnOf = (source: FrameSource, turn_deg: Rotation): Rotation =>
  turns[((source.rotation_deg + turn_deg) / 90) % 4]!

/** The rectangle around some points with a margin, in whole pixels. */
export function rectAround(points: readonly Px[], margin_px: number): DisplayedRect {
  const [xs, ys] = [points.map((p) => p.x), points.map((p) => p.y)]
  const [x, y] = [Math.floor(Math.min(...xs) - margin_px), Math.floor(Math.min(...ys) - margin_px)]
  return { x, y, width: Math.ceil(Math.max(...xs) + margin_px) - x, height: Math.ceil(Math.max(...ys) + margin_px) - y }
}

/** A piece of a frame as it is displayed, cut at the picture's border, brightness on the scale 0 … 255 whatever the clip's depth. */
export async function displayedPatch(
  source: FrameSource,
  frame: number,
  turn_deg: Rotation,
  rect: DisplayedRect,
  signal?: AbortSignal,
): Promise<{ readonly kind: 'patch'; readonly patch: LumaPatch } | NoPixels> {
  if (source.mirrored) return { kind: 'mirrored' }
  const outcome = await source.luma(frame, signal)
  if (outcome.kind !== 'luma') return { kind: 'missing-frame', frame }
  const { luma } = outcome
  const turn = turnOf(source, turn_deg)
  const upright = turn === 0 || turn === 180
  const [wide, high] = upright ? [luma.width, luma.height] : [luma.height, luma.width]
  const [x0, y0] = [Math.max(0, rect.x), Math.max(0, rect.y)]
  const width = Math.max(0, Math.min(wide, rect.x + rect.width) - x0)
  const height = Math.max(0, Math.min(high, rect.y + rect.height) - y0)
  const scale = toEightBit(luma.bitDepth)
  const cut = new Float32Array(width * height)
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++) {
      const { column, row } = storedPixel(turn, luma.width, luma.height, x0 + i, y0 + j)
      cut[j * width + i] = luma.data[row * luma.stride + column]! * scale
    }
  return { kind: 'patch', patch: { x0, y0, width, height, luma: cut } }
}
