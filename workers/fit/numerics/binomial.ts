import { betaQuantile } from './beta.ts'

/** Two-sided Clopper–Pearson interval of a probability after `hits` in `trials`, each tail (1 − confidence)/2.
 *  Never shorter than its confidence. Source: Clopper & Pearson, Biometrika 26 (1934) 404–413. */
export function clopperPearson(
  hits: number,
  trials: number,
  confidence: number,
): { readonly lower: number; readonly upper: number } {
  const tail = (1 - checked(hits, trials, confidence)) / 2
  return { lower: lowerLimit(hits, trials, tail), upper: upperLimit(hits, trials, tail) }
}

/** One-sided upper limit of a probability after `hits` in `trials`; without a hit it is 1 − (1 − confidence)^(1/n). */
export function upperProbabilityLimit(hits: number, trials: number, confidence: number): number {
  return upperLimit(hits, trials, 1 - checked(hits, trials, confidence))
}

function lowerLimit(hits: number, trials: number, tail: number): number {
  return hits === 0 ? 0 : betaQuantile(tail, hits, trials - hits + 1)
}

function upperLimit(hits: number, trials: number, tail: number): number {
  return hits === trials ? 1 : betaQuantile(1 - tail, hits + 1, trials - hits)
}

function checked(hits: number, trials: number, confidence: number): number {
  if (!Number.isInteger(hits) || !Number.isInteger(trials) || hits < 0 || trials < 1 || hits > trials)
    throw new RangeError(`${hits} hits in ${trials} trials cannot be.`)
  if (!(confidence > 0 && confidence < 1)) throw new RangeError(`A confidence of ${confidence} is not between 0 and 1.`)
  return confidence
}
