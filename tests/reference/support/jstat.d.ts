/** The part of jstat that tests compare with; the package ships no types. */
declare module 'jstat' {
  interface Distribution<Parameters extends number[]> {
    pdf(x: number, ...parameters: Parameters): number
    cdf(x: number, ...parameters: Parameters): number
    inv(p: number, ...parameters: Parameters): number
  }
  interface JStat {
    readonly studentt: Distribution<[dof: number]>
    readonly chisquare: Distribution<[dof: number]>
    readonly centralF: Distribution<[d1: number, d2: number]>
    readonly normal: Distribution<[mean: number, deviation: number]>
    readonly noncentralt: { cdf(t: number, dof: number, noncentrality: number): number }
    readonly binomial: { pdf(k: number, n: number, p: number): number }
    mean(values: readonly number[]): number
    variance(values: readonly number[], ofSample: boolean): number
    lowRegGamma(a: number, x: number): number
    ibeta(x: number, a: number, b: number): number
    gammaln(x: number): number
  }
  const jstat: JStat
  export default jstat
}
