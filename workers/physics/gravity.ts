import * as maths from '../elementary/maths.ts'

/** Standard acceleration of gravity [m/s²]. Source: 3rd General Conference on Weights and Measures (1901). */
export const STANDARD_GRAVITY_M_S2 = 9.80665

/** Gravity [m/s²] at a latitude [°, −90 … 90] and a height above the ellipsoid [m].
 *
 *  Local rock changes it by up to about 5e-4 m/s². Throws for a latitude that is none.
 *  Source: Somigliana's formula with the constants of WGS 84 (NIMA TR8350.2); free-air gradient 3.086e-6 s⁻². */
export function localGravity_m_s2(latitude_deg: number, height_m = 0): number {
  if (!(Math.abs(latitude_deg) <= 90)) throw new RangeError(`A latitude of ${latitude_deg}° does not exist.`)
  const square = maths.sin((latitude_deg * Math.PI) / 180) ** 2
  return (
    (9.7803253359 * (1 + 0.00193185265241 * square)) / Math.sqrt(1 - 0.00669437999013 * square) - 3.086e-6 * height_m
  )
}
