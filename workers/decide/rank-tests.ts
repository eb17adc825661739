/** Tests and estimates that assume no bell curve: exact permutation, Wilcoxon signed rank, Hodges–Lehmann. */

export const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
}

/** n over k, exact while it fits a double. */
export function combinations(n: number, k: number): number {
  let result = 1
  for (let i = 1; i <= Math.min(k, n - k); i++) result = Math.round((result * (n - Math.min(k, n - k) + i)) / i)
  return result
}

/** Above this many ways to split the runs, ways are drawn instead of counted. */
const mostSplits = 200_000
const drawnSplits = 20_000

export interface PermutationTest {
  /** Two-sided. */
  readonly p: number
  /** The least p this many runs can ever give: with three and three it is 0.1, however large the change. */
  readonly leastPossible: number
  readonly exact: boolean
}

/**
 * Two-sided permutation test of a difference of means. Every way to deal the pooled values into the two groups is counted; a share of at
 * least as large a difference is p. Beyond 200 000 ways, 20 000 are drawn with `random` (uniform in [0, 1)) and p = (hits + 1)/(draws + 1).
 * Source: B. Phipson, G. K. Smyth, Stat. Appl. Genet. Mol. Biol. 9 (2010) 39, for the drawn form.
 */
export function permutationTest(x: readonly number[], y: readonly number[], random: () => number): PermutationTest {
  const pooled = [...x, ...y]
  const total = pooled.reduce((sum, value) => sum + value, 0)
  const n = x.length
  const splits = combinations(pooled.length, n)
  const difference = (sumX: number): number => Math.abs(sumX / n - (total - sumX) / y.length)
  const seen = difference(x.reduce((sum, value) => sum + value, 0))
  // The same split summed in another order differs in the last digits and must still count as "at least as large".
  const atLeast = seen - 1e-12 * Math.max(...pooled.map(Math.abs), Number.MIN_VALUE)
  const leastPossible = Math.min(1, (x.length === y.length ? 2 : 1) / splits)
  if (splits > mostSplits) {
    let hits = 0
    for (let draw = 0; draw < drawnSplits; draw++) {
      for (let i = 0; i < n; i++) {
        const j = i + Math.floor(random() * (pooled.length - i))
        ;[pooled[i], pooled[j]] = [pooled[j]!, pooled[i]!]
      }
      let sum = 0
      for (let i = 0; i < n; i++) sum += pooled[i]!
      if (difference(sum) >= atLeast) hits++
    }
    return { p: (hits + 1) / (drawnSplits + 1), leastPossible, exact: false }
  }
  let hits = 0
  const choose = (from: number, left: number, sum: number): void => {
    if (left === 0) {
      if (difference(sum) >= atLeast) hits++
      return
    }
    for (let i = from; i <= pooled.length - left; i++) choose(i + 1, left - 1, sum + pooled[i]!)
  }
  choose(0, n, 0)
  return { p: hits / splits, leastPossible, exact: true }
}

/** Hodges–Lehmann shift y − x: median of all pairwise differences. Source: Hodges & Lehmann, Ann. Math. Statist. 34 (1963) 598–611. */
export function hodgesLehmannShift(x: readonly number[], y: readonly number[]): number {
  return median(y.flatMap((b) => x.map((a) => b - a)))
}

/** Hodges–Lehmann centre of paired differences: median of all Walsh averages. Same source. */
export function hodgesLehmannCentre(differences: readonly number[]): number {
  return median(differences.flatMap((a, i) => differences.slice(i).map((b) => (a + b) / 2)))
}

export interface SignedRank {
  /** Sum of the ranks of positive differences. */
  readonly v: number
  readonly pTwoSided: number
  readonly pGreater: number
  readonly used: number
}

/**
 * Wilcoxon signed-rank test, exact, zeros dropped, tied sizes share their mean rank (the distribution is counted over all sign patterns of the
 * ranks as they are). Up to 60 differences. Source: F. Wilcoxon, Biometrics Bulletin 1 (1945) 80–83.
 */
export function signedRank(differences: readonly number[]): SignedRank {
  const used = differences.filter((d) => d !== 0)
  const sorted = used.map(Math.abs).sort((a, b) => a - b)
  // Doubled ranks are whole numbers even where two sizes tie.
  const doubled = used.map((d) => {
    const size = Math.abs(d)
    return sorted.indexOf(size) + sorted.lastIndexOf(size) + 2
  })
  const most = doubled.reduce((sum, rank) => sum + rank, 0)
  let ways = new Float64Array(most + 1)
  ways[0] = 1
  for (const rank of doubled) {
    const next = Float64Array.from(ways)
    for (let sum = rank; sum <= most; sum++) next[sum]! += ways[sum - rank]!
    ways = next
  }
  const all = 2 ** used.length
  const v2 = doubled.reduce((sum, rank, i) => sum + (used[i]! > 0 ? rank : 0), 0)
  let atLeast = 0
  let atMost = 0
  for (let sum = 0; sum <= most; sum++) {
    if (sum >= v2) atLeast += ways[sum]!
    if (sum <= v2) atMost += ways[sum]!
  }
  return {
    v: v2 / 2,
    pGreater: atLeast / all,
    pTwoSided: Math.min(1, (2 * Math.min(atLeast, atMost)) / all),
    used: used.length,
  }
}
