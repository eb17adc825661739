/** Decimal place of a number's n-th significant digit: 0 for units, −2 for hundredths, 1 for tens. */
export function placeOf(x: number, significant: number): number {
  if (x === 0 || !Number.isFinite(x)) return 0
  // Through text: 0.0999 rounds to 0.10, whose digits begin one place higher than log10 says.
  const exponent = Number(
    Math.abs(x)
      .toExponential(significant - 1)
      .split('e')[1],
  )
  return exponent - significant + 1
}

/** A number rounded at a decimal place, written out; never in powers of ten, never “−0”. */
export function atPlace(x: number, place: number): string {
  const decimals = Math.min(100, Math.max(0, -place))
  const step = 10 ** Math.max(0, place)
  const text = (Math.round(x / step) * step).toFixed(0)
  const written = place > 0 ? text : x.toFixed(decimals)
  return /^-0(\.0*)?$/.test(written) ? written.slice(1) : written
}
