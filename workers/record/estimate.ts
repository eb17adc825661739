/**
 * A measured number with its uncertainty and where it comes from (JCGM 100).
 * `value` in `unit`; `u`: combined standard uncertainty; `dof`: effective degrees of freedom (Welch–Satterthwaite), Infinity when known exactly.
 * `effects`: signed change of the value for + 1 standard uncertainty of each source, by source id. Two results that share a source carry the
 * same id: in a difference their effects subtract before squaring, so that what is common cancels by itself.
 * `random`: what remains, independent of every other result: standard uncertainty and degrees of freedom.
 */
export interface Estimate {
  readonly value: number
  readonly unit: string
  readonly u: number
  readonly dof: number
  /** Half width of the interval at the record's coverage; `interval` where it is not symmetric about the value. */
  readonly U: number
  readonly coverage: number
  readonly interval: readonly [number, number]
  readonly effects: ReadonlyMap<string, number>
  readonly random: { readonly u: number; readonly dof: number }
}
