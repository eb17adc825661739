/**
 * Elementary functions that give the same bits in every JavaScript engine. The language leaves the last digit of `Math.sin`,
 * `Math.exp` and their like to the engine (ECMA-262, "Function Properties of the Math Object": the result is an
 * implementation-approximated value), and browsers and Node use the freedom; a result file written by the page would then differ
 * in its last digits from the one written by the command. Everything on the way from a record to a result uses these instead.
 *
 * They are the stdlib project's ports of FreeBSD's msun (fdlibm), built from +, −, ×, ÷ and √ alone, which IEEE 754 fixes to
 * the bit. Angles in rad. `Math.sqrt`, `abs`, `floor`, `min`, `max` and so on are exact everywhere and stay as they are.
 */
export { default as acos } from '@stdlib/math-base-special-acos'
export { default as asin } from '@stdlib/math-base-special-asin'
export { default as atan } from '@stdlib/math-base-special-atan'
export { default as atan2 } from '@stdlib/math-base-special-atan2'
export { default as cbrt } from '@stdlib/math-base-special-cbrt'
export { default as cos } from '@stdlib/math-base-special-cos'
export { default as exp } from '@stdlib/math-base-special-exp'
export { default as expm1 } from '@stdlib/math-base-special-expm1'
export { default as log } from '@stdlib/math-base-special-ln'
export { default as log10 } from '@stdlib/math-base-special-log10'
export { default as log1p } from '@stdlib/math-base-special-log1p'
export { default as log2 } from '@stdlib/math-base-special-log2'
export { default as pow } from '@stdlib/math-base-special-pow'
export { default as sin } from '@stdlib/math-base-special-sin'
export { default as sinh } from '@stdlib/math-base-special-sinh'
export { default as tan } from '@stdlib/math-base-special-tan'

/** Squares of parts between these neither overflow nor vanish. */
const LEAST = 1e-140
const MOST = 1e140

/**
 * Length of a vector from its two or three parts, √(x² + y² + z²), without overflow: engines differ in how they sum the squares.
 * NaN when a part is NaN, unless another is infinite.
 */
export function hypot(x: number, y: number, z = 0): number {
  const most = Math.max(Math.abs(x), Math.abs(y), Math.abs(z))
  if (most > LEAST && most < MOST) return Math.sqrt(x * x + y * y + z * z)
  if (most === 0) return 0
  if (Math.abs(x) === Infinity || Math.abs(y) === Infinity || Math.abs(z) === Infinity) return Infinity
  if (Number.isNaN(most)) return NaN
  return most * Math.sqrt((x / most) ** 2 + (y / most) ** 2 + (z / most) ** 2)
}

/** Length of a vector of any number of parts, which must be of ordinary size (their squares neither overflow nor vanish). */
export function norm(parts: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < parts.length; i++) sum += parts[i]! * parts[i]!
  return Math.sqrt(sum)
}
