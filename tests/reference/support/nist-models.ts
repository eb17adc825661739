/** The model of a nonlinear NIST StRD set, as printed in its file. */
export interface NistModel {
  value(b: ArrayLike<number>, x: readonly number[]): number
  /** Where the model is for a function of the response (Nelson: its logarithm). */
  readonly observe?: (y: number) => number
}

type Curve = (b: readonly number[], x: number) => number

const { exp, cos, sin, atan, PI } = Math

const of = (curve: Curve): NistModel => ({ value: (b, [x]) => curve(Array.from(b), x!) })

const saturating: Curve = ([b1, b2], x) => -b1! * Math.expm1(-b2! * x)
const chwirut: Curve = ([b1, b2, b3], x) => exp(-b1! * x) / (b2! + b3! * x)
const gauss: Curve = ([b1, b2, b3, b4, b5, b6, b7, b8], x) =>
  b1! * exp(-b2! * x) + b3! * exp(-((x - b4!) ** 2) / b5! ** 2) + b6! * exp(-((x - b7!) ** 2) / b8! ** 2)
const lanczos: Curve = ([b1, b2, b3, b4, b5, b6], x) => b1! * exp(-b2! * x) + b3! * exp(-b4! * x) + b5! * exp(-b6! * x)
const cubicOverCubic: Curve = ([b1, b2, b3, b4, b5, b6, b7], x) =>
  (b1! + b2! * x + b3! * x ** 2 + b4! * x ** 3) / (1 + b5! * x + b6! * x ** 2 + b7! * x ** 3)

/** Every nonlinear set with its model. */
export const nonlinearModels: Readonly<Record<string, NistModel>> = {
  Bennett5: of(([b1, b2, b3], x) => b1! * (b2! + x) ** (-1 / b3!)),
  BoxBOD: of(saturating),
  Chwirut1: of(chwirut),
  Chwirut2: of(chwirut),
  DanWood: of(([b1, b2], x) => b1! * x ** b2!),
  ENSO: of(([b1, b2, b3, b4, b5, b6, b7, b8, b9], x) => {
    const angle = (period: number) => (2 * PI * x) / period
    return (
      b1! +
      b2! * cos(angle(12)) +
      b3! * sin(angle(12)) +
      b5! * cos(angle(b4!)) +
      b6! * sin(angle(b4!)) +
      b8! * cos(angle(b7!)) +
      b9! * sin(angle(b7!))
    )
  }),
  Eckerle4: of(([b1, b2, b3], x) => (b1! / b2!) * exp(-0.5 * ((x - b3!) / b2!) ** 2)),
  Gauss1: of(gauss),
  Gauss2: of(gauss),
  Gauss3: of(gauss),
  Hahn1: of(cubicOverCubic),
  Kirby2: of(([b1, b2, b3, b4, b5], x) => (b1! + b2! * x + b3! * x ** 2) / (1 + b4! * x + b5! * x ** 2)),
  Lanczos1: of(lanczos),
  Lanczos2: of(lanczos),
  Lanczos3: of(lanczos),
  MGH09: of(([b1, b2, b3, b4], x) => (b1! * (x ** 2 + x * b2!)) / (x ** 2 + x * b3! + b4!)),
  MGH10: of(([b1, b2, b3], x) => b1! * exp(b2! / (x + b3!))),
  MGH17: of(([b1, b2, b3, b4, b5], x) => b1! + b2! * exp(-x * b4!) + b3! * exp(-x * b5!)),
  Misra1a: of(saturating),
  Misra1b: of(([b1, b2], x) => b1! * (1 - (1 + (b2! * x) / 2) ** -2)),
  Misra1c: of(([b1, b2], x) => b1! * (1 - (1 + 2 * b2! * x) ** -0.5)),
  Misra1d: of(([b1, b2], x) => (b1! * b2! * x) / (1 + b2! * x)),
  Nelson: {
    value: (b, [x1, x2]) => b[0]! - b[1]! * x1! * exp(-b[2]! * x2!),
    observe: Math.log,
  },
  Rat42: of(([b1, b2, b3], x) => b1! / (1 + exp(b2! - b3! * x))),
  Rat43: of(([b1, b2, b3, b4], x) => b1! / (1 + exp(b2! - b3! * x)) ** (1 / b4!)),
  Roszman1: of(([b1, b2, b3, b4], x) => b1! - b2! * x - atan(b3! / (x - b4!)) / PI),
  Thurber: of(cubicOverCubic),
}
