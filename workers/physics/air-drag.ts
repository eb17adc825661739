import * as maths from '../elementary/maths.ts'

/** Drag coefficient of a smooth sphere at Reynolds numbers of 10³ … 10⁵ (from memory: standard drag curve). */
export const SPHERE_DRAG_COEFFICIENT = 0.47

/** Density of air [kg/m³] at 20 °C and 1013 hPa: p/(R_s·T) with R_s = 287.05 J/(kg K). */
export const AIR_DENSITY_KG_M3 = 1.2041

export interface DragSetting {
  readonly radius_m: number
  readonly mass_kg: number
  readonly k: number
  readonly airDensity_kg_m3?: number
  readonly dragCoefficient?: number
}

/** β [1/m] of the deceleration β·v² that air causes: ρ·C_d·πR²/(2·m·k). */
export function airDrag_per_m(setting: DragSetting): number {
  const density = setting.airDensity_kg_m3 ?? AIR_DENSITY_KG_M3
  const coefficient = setting.dragCoefficient ?? SPHERE_DRAG_COEFFICIENT
  return (density * coefficient * Math.PI * setting.radius_m ** 2) / (2 * setting.mass_kg * setting.k)
}

/** The equivalent resistance that air adds at a speed [m/s]: β·k·v²/(g·cosθ). */
export function resistanceOfAir(
  drag_per_m: number,
  speed_m_s: number,
  setting: { readonly k: number; readonly g_m_s2: number; readonly slope_rad?: number },
): number {
  return (drag_per_m * setting.k * speed_m_s ** 2) / (setting.g_m_s2 * maths.cos(setting.slope_rad ?? 0))
}
