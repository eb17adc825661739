import type { RateReport } from '../../../workers/measure/rate-report.ts'

export interface PieceRow {
  readonly first: number
  readonly last: number
  readonly secondsPerFrame: number
  readonly u_s: number
  /** What the ± (95 %) does to speeds and accelerations inside the piece [%]. */
  readonly speed_percent: number
  readonly acceleration_percent: number
}

/** A row for each stretch with one rate: what lies before the first piece goes by the rate of the camera position. */
export function rowsOfPieces(report: RateReport, frames: number): PieceRow[] {
  const starts = report.pieces.map((piece) => ({ ...piece }))
  if (starts[0] !== undefined && starts[0].fromFrame > 0)
    starts.unshift({ fromFrame: 0, secondsPerFrame: report.secondsPerFrame, u_s: report.u_s })
  return starts.map((piece, i) => {
    const percent = (200 * piece.u_s) / piece.secondsPerFrame
    return {
      first: piece.fromFrame,
      last: (starts[i + 1]?.fromFrame ?? frames) - 1,
      secondsPerFrame: piece.secondsPerFrame,
      u_s: piece.u_s,
      speed_percent: percent,
      acceleration_percent: 2 * percent,
    }
  })
}
