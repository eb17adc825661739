import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import * as maths from '../../../workers/elementary/maths.ts'
import { fingerprints } from '../../support/fingerprints.ts'

/** Distance of two numbers in units of the last place of the larger. */
function ulps(a: number, b: number): number {
  if (a === b) return 0
  const most = Math.max(Math.abs(a), Math.abs(b))
  return Math.abs(a - b) / Math.max(Number.MIN_VALUE, 2 ** (Math.floor(Math.log2(most)) - 52))
}

describe('elementary functions of one’s own', () => {
  const one = ['asin', 'acos', 'atan', 'cbrt', 'cos', 'exp', 'expm1', 'sin', 'sinh', 'tan'] as const
  const positive = ['log', 'log10', 'log1p', 'log2'] as const

  test('differ from the engine’s by two units of the last place at most', () => {
    const argument = fc.double({ min: -30, max: 30, noNaN: true })
    fc.assert(
      fc.property(argument, fc.double({ min: 1e-9, max: 1e9, noNaN: true }), (x, p) => {
        for (const name of one) {
          const at = name === 'asin' || name === 'acos' ? x / 30 : x
          expect(ulps(maths[name](at), Math[name](at)), `${name}(${at})`).toBeLessThanOrEqual(2)
        }
        for (const name of positive) expect(ulps(maths[name](p), Math[name](p)), `${name}(${p})`).toBeLessThanOrEqual(2)
        expect(ulps(maths.atan2(x, p), Math.atan2(x, p))).toBeLessThanOrEqual(2)
        expect(ulps(maths.pow(p, x / 10), Math.pow(p, x / 10))).toBeLessThanOrEqual(2)
        expect(ulps(maths.hypot(x, p, 1), Math.hypot(x, p, 1))).toBeLessThanOrEqual(2)
      }),
      { seed: 11, numRuns: 2000 },
    )
  })

  test('a length neither overflows nor vanishes, and says when a part is no number', () => {
    expect(maths.hypot(3e200, 4e200)).toBeCloseTo(5e200, -190)
    expect(maths.hypot(3e-200, 4e-200) / 5e-200).toBeCloseTo(1, 12)
    expect(maths.hypot(0, 0)).toBe(0)
    expect(maths.hypot(NaN, 1)).toBeNaN()
    expect(maths.hypot(-Infinity, NaN)).toBe(Infinity)
    expect(maths.norm([1, 2, 2])).toBe(3)
  })

  test('give the bits written down here, whatever engine runs this', () => {
    expect(fingerprints(maths)).toMatchInlineSnapshot(`
      {
        "acos": 51460502,
        "asin": -1527582033,
        "atan": 1918492186,
        "atan2": -549203677,
        "cbrt": 1834528295,
        "cos": -1022537331,
        "exp": 1372362636,
        "expm1": 460243308,
        "hypot": -747491615,
        "log": -1334538523,
        "log10": 1561014003,
        "log1p": -1382854648,
        "log2": -177427160,
        "pow": 191800457,
        "sin": -39226385,
        "sinh": 1369161811,
        "tan": -1140393750,
      }
    `)
  })
})
