import type { ChosenModel } from './choose-model.ts'
import { fitMotion, residualsOf, type MotionFit } from './motion-fit.ts'
import { estimateNoise, type MarkNoise } from './noise-model.ts'
import type { RunSeries } from './run-fit.ts'

/** The motion of a series told piece by piece: one acceleration on each piece of the lane, place and speed continuous. */
export interface LocalPlan {
  readonly fit: MotionFit
  readonly noise: MarkNoise
}

/** The pieces of a series; null where the marks do not give them. The chosen model's own pieces are used where it is the local one. */
export function planLocal(
  model: ChosenModel,
  series: readonly RunSeries[],
  travel: 1 | -1,
  knots_m: readonly number[],
): LocalPlan | null {
  if (model.fit.spec.kind === 'local') return { fit: model.fit, noise: model.noise }
  const { pieces } = model
  if (pieces) return { fit: pieces, noise: estimateNoise(pieces.joint, residualsOf(pieces)) }
  return fitPieces(series, travel, knots_m, model.fit.spec.ownAcceleration)
}

/** Fits one acceleration on each piece, or as many and a level of each run's own. */
export function fitPieces(
  series: readonly RunSeries[],
  travel: 1 | -1,
  knots_m: readonly number[],
  ownAcceleration: boolean,
): LocalPlan | null {
  if (knots_m.length < 4) return null
  const fit = fitMotion({ kind: 'local', ownAcceleration, knots_m, drag_per_m: 0 }, series, travel)
  return fit ? { fit, noise: estimateNoise(fit.joint, residualsOf(fit)) } : null
}

/** Acceleration on each piece [m/s²], along the lane line: of the mean run, where runs have their own level. */
export function pieceAccelerations(fit: MotionFit): Float64Array {
  if (!fit.spec.ownAcceleration) return fit.shared
  const level = fit.own.reduce((sum, own) => sum + own[2]!, 0) / fit.own.length
  return Float64Array.of(level, ...fit.shared.map((more) => level + more))
}
