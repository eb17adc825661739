import { turnMatrix, displayedSize, type QuarterTurn } from './orientation.ts'
import type { Size } from './sight.ts'

/** What can be drawn: a decoded frame or a bitmap of it. Both hold native memory and are closed here. */
export type Drawable = VideoFrame | ImageBitmap

/**
 * The displayed picture as pixels of its own size: the frame is drawn once, turned, and closed at once, so that no decoder ever waits for
 * the page; panning and zooming then cost nothing. One element for the whole session: it moves from station to station without a flicker.
 */
export const raster: HTMLCanvasElement = document.createElement('canvas')
raster.className = 'picture-raster'
raster.setAttribute('aria-hidden', 'true')

/** Draws a frame of this coded size turned clockwise (and mirrored after the turn) and closes it. */
export function drawFrame(frame: Drawable, coded: Size, turn: QuarterTurn, mirrored = false): void {
  try {
    const size = displayedSize(coded, turn)
    if (raster.width !== size.width) raster.width = size.width
    if (raster.height !== size.height) raster.height = size.height
    const context = raster.getContext('2d', { alpha: false })
    if (!context) throw new Error('this browser gave no 2d drawing')
    const [a, b, c, d, e, f] = turnMatrix(coded, turn)
    if (mirrored) context.setTransform(-a, b, -c, d, size.width - e, f)
    else context.setTransform(a, b, c, d, e, f)
    context.drawImage(frame, 0, 0, coded.width, coded.height)
    context.resetTransform()
  } finally {
    frame.close()
  }
}

export function clearRaster(): void {
  raster.width = 1
  raster.height = 1
}
