/** The functions whose bits are looked at; any module that exports them will do. */
export type Functions = Readonly<Record<(typeof NAMES)[number], (x: number, y: number) => number>>

const NAMES = [
  'acos',
  'asin',
  'atan',
  'atan2',
  'cbrt',
  'cos',
  'exp',
  'expm1',
  'hypot',
  'log',
  'log10',
  'log1p',
  'log2',
  'pow',
  'sin',
  'sinh',
  'tan',
] as const

/** One number a function, made of every bit of its results at 20 000 places (asin and acos within [−1, 1], logarithms above 0). */
export function fingerprints(functions: Functions): Record<string, number> {
  const bits = new DataView(new ArrayBuffer(8))
  const of = (name: (typeof NAMES)[number]): number => {
    let state = 777
    const uniform = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296
    let print = 0
    for (let i = 0; i < 20000; i++) {
      const [u, v] = [uniform(), uniform()]
      const x =
        name.startsWith('log') || name === 'pow' ? 20 * u : name === 'asin' || name === 'acos' ? 2 * u - 1 : 12 * u - 6
      bits.setFloat64(0, functions[name](x, v))
      print = (Math.imul(print, 31) + bits.getInt32(0)) | 0
      print = (Math.imul(print, 31) + bits.getInt32(4)) | 0
    }
    return print
  }
  return Object.fromEntries(NAMES.map((name) => [name, of(name)]))
}
