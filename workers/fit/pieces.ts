import type { RunSeries } from './run-fit.ts'

/**
 * Length of the pieces in which resistance is told along the lane [m]. With five runs, every frame marked to 0.3 mm and 0.3 … 0.6 m/s, pieces of 0.1 m
 * are known to about 0.0008 of C_rr and pieces of 0.05 m to 0.004: finer ones say nothing about a good lane.
 */
export const pieceLength_m = 0.1
const fewestPieces = 3
const mostPieces = 40
/** Marks of a run, on average, that a piece needs to say something of its own. */
const fewestMarks = 4

/** Borders of equal pieces over a part of the lane; none where it or its marks do not give three pieces. */
export function knotsOver(
  [from_m, to_m]: readonly [number, number],
  length_m: number,
  series: readonly RunSeries[],
): number[] {
  if (!(to_m > from_m)) return []
  const marks = series.reduce((sum, { t_s }) => sum + t_s.length, 0) / series.length
  const pieces = Math.min(Math.round((to_m - from_m) / length_m), Math.floor(marks / fewestMarks), mostPieces)
  if (pieces < fewestPieces) return []
  return Array.from({ length: pieces + 1 }, (_, k) => from_m + ((to_m - from_m) * k) / pieces)
}
