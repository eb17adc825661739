/**
 * Holm's step-down adjustment of p-values over several comparisons, in the order given; each result in [0, 1].
 * Controls the chance of any false "yes" whatever the dependence. Source: S. Holm, Scand. J. Statist. 6 (1979) 65–70.
 */
export function holm(pValues: readonly number[]): number[] {
  const order = pValues.map((_, i) => i).sort((a, b) => pValues[a]! - pValues[b]!)
  const adjusted = new Array<number>(pValues.length).fill(1)
  let running = 0
  order.forEach((index, rank) => {
    running = Math.max(running, Math.min(1, (pValues.length - rank) * pValues[index]!))
    adjusted[index] = running
  })
  return adjusted
}
