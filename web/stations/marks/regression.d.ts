declare module 'regression' {
  interface Options {
    readonly order?: number
    readonly precision?: number
  }
  interface Result {
    /** Highest power first. */
    readonly equation: readonly number[]
    readonly r2: number
    readonly predict: (x: number) => readonly [number, number]
  }
  type Method = (data: readonly (readonly [number, number])[], options?: Options) => Result
  const regression: { readonly linear: Method; readonly polynomial: Method }
  export default regression
}
