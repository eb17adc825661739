import type { SeriesResult } from '../../../workers/fit/results.ts'
import type { Look } from './motion-figures.ts'
import type { Band, Curve, Figure } from '../../plots/figure.ts'

const mm = (metres: number): number => Number((1000 * metres).toFixed(1))

/** Resistance piece by piece along the lane, as steps with their intervals; slow spots on caution ground with what they cost. */
export function localFigure(series: SeriesResult, { lane, of }: Look): Figure | null {
  const pieces = series.local?.pieces.filter((piece) => piece.crr !== null) ?? []
  if (pieces.length < 2) return null
  const middle = pieces.map((piece) => mm((piece.from_m + piece.to_m) / 2))
  const steps: Curve[] = pieces.map((piece, i) => ({
    name: `piece ${i + 1}`,
    kind: 'line',
    x: [mm(piece.from_m), mm(piece.to_m)],
    y: [piece.crr!.value, piece.crr!.value],
    ink: { lane },
    width: 2,
    guide: true,
  }))
  const intervals: Curve = {
    name: 'C_rr',
    kind: 'points',
    x: middle,
    y: pieces.map((piece) => Number(piece.crr!.value.toPrecision(6))),
    low: pieces.map((piece) => piece.crr!.interval[0]),
    high: pieces.map((piece) => piece.crr!.interval[1]),
    ink: { lane },
    size: 4,
  }
  const bands: Band[] = (series.local?.slowSpots ?? []).map((spot) => ({
    x: [mm(spot.from_m), mm(spot.to_m)],
    ink: 'caution',
    says: `costs ${(1000 * spot.lostHeight_m).toPrecision(2)} mm of height`,
  }))
  return {
    name: `${of} local resistance`,
    caption: 'local resistance along the lane, C_rr against mm from its start',
    x: { label: 'position', unit: 'mm' },
    y: { label: 'C_rr', unit: '', digits: 3 },
    bands,
    curves: [...steps, intervals],
  }
}
