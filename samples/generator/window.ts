/** A rectangle of pixels, right and bottom excluded, with even corners: colour is kept at half resolution. */
export interface PixelWindow {
  readonly left: number
  readonly top: number
  readonly right: number
  readonly bottom: number
}

/** The window around a box, grown by `margin`, cut to the picture; null when nothing is left. */
export function windowAround(
  box: { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number },
  margin: number,
  width: number,
  height: number,
): PixelWindow | null {
  const left = Math.max(0, Math.floor((box.left - margin) / 2) * 2)
  const top = Math.max(0, Math.floor((box.top - margin) / 2) * 2)
  const right = Math.min(width, Math.ceil((box.right + margin) / 2) * 2)
  const bottom = Math.min(height, Math.ceil((box.bottom + margin) / 2) * 2)
  return left < right && top < bottom ? { left, top, right, bottom } : null
}
