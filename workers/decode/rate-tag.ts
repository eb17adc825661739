/** The tag under which phones note the rate at which a slow-motion clip was filmed. */
export const filmingRateTagName = 'com.android.capture.fps'

/** The filming rate [1/s] a tag value states, or null when it states none.
 *  Both forms in the wild are read: text (as written by ffmpeg) and four bytes, a big-endian float32 (as written by phones).
 *  Rates outside (0, 1 000 000] are no rates. Source: both forms measured on files of either kind. */
export function filmingRate_hz(value: unknown): number | null {
  const rate = numberOf(value)
  return Number.isFinite(rate) && rate > 0 && rate <= 1e6 ? rate : null
}

function numberOf(value: unknown): number {
  if (typeof value === 'number') return value
  if (typeof value === 'string') return value.trim() === '' ? NaN : Number(value.trim())
  if (value instanceof Uint8Array) {
    const view = new DataView(value.buffer, value.byteOffset, value.byteLength)
    if (value.byteLength === 4) return view.getFloat32(0, false)
    if (value.byteLength === 8) return view.getFloat64(0, false)
    return numberOf(new TextDecoder().decode(value).replace(/\0+$/, ''))
  }
  return NaN
}
