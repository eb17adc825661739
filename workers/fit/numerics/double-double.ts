/** 2²⁷ + 1: splits a double into two halves of at most 26 bits, whose products are exact.
 *  Source: T. J. Dekker, Numerische Mathematik 18 (1971) 224–242. */
const SPLITTER = 134217729

/** A running sum held as an unevaluated pair high + low, about 32 significant digits.
 *
 *  Products enter without rounding error, so that a difference of large, nearly equal terms keeps its digits.
 *  Source: Ogita, Rump, Oishi, SIAM J. Sci. Comput. 26 (2005) 1955–1988 (error-free sum and product, compensated dot). */
export class DoubleDoubleSum {
  high = 0
  low = 0

  reset(): this {
    this.high = 0
    this.low = 0
    return this
  }

  add(a: number): this {
    const sum = this.high + a
    const part = sum - this.high
    this.low += this.high - (sum - part) + (a - part)
    this.high = sum
    return this
  }

  addProduct(a: number, b: number): this {
    const product = a * b
    const bigA = SPLITTER * a
    const highA = bigA - (bigA - a)
    const lowA = a - highA
    const bigB = SPLITTER * b
    const highB = bigB - (bigB - b)
    const lowB = b - highB
    const error = lowA * lowB - (product - highA * highB - lowA * highB - highA * lowB)
    const sum = this.high + product
    const part = sum - this.high
    this.low += this.high - (sum - part) + (product - part) + error
    this.high = sum
    return this
  }

  value(): number {
    return this.high + this.low
  }
}

/** The dot product of two vectors, rounded once at the end. */
export function accurateDot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  const sum = new DoubleDoubleSum()
  for (let i = 0; i < a.length; i++) sum.addProduct(a[i]!, b[i]!)
  return sum.value()
}

/** The sum of a vector, rounded once at the end. */
export function accurateSum(a: ArrayLike<number>): number {
  const sum = new DoubleDoubleSum()
  for (let i = 0; i < a.length; i++) sum.add(a[i]!)
  return sum.value()
}
