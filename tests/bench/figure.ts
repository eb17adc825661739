/** One measured number of a bench. */
export interface Figure {
  readonly name: string
  readonly value: number
  readonly unit: string
}

export const figure = (name: string, value: number, unit: string): Figure => ({ name, value, unit })

/** Middle of the values; the mean of the middle two for an even count. NaN for none. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1 ? (sorted[middle] ?? NaN) : ((sorted[middle - 1] ?? NaN) + (sorted[middle] ?? NaN)) / 2
}

/** The value that a share `p` of the values does not exceed. NaN for none. */
export function percentile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(p * sorted.length) - 1))] ?? NaN
}
