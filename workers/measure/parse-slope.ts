import * as maths from '../elementary/maths.ts'
import type { Slope } from '../record/index.ts'

export type TypedSlope =
  | { readonly kind: 'slope'; readonly form: 'angle'; readonly angle_rad: number }
  | { readonly kind: 'slope'; readonly form: 'gradient'; readonly gradient: number }
  | { readonly kind: 'not-a-slope'; readonly text: string }
  | { readonly kind: 'slope-too-steep'; readonly text: string; readonly degrees: number }

const number = String.raw`[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?`
const length = String.raw`(?:\s*(mm|cm|m))?`
const angle = new RegExp(String.raw`^(${number})\s*(°|deg|degs|degree|degrees|rad|')?$`, 'i')
const perMetre = new RegExp(String.raw`^(${number})\s*mm\s*(?:\/|per)\s*m$`, 'i')
const percent = new RegExp(String.raw`^(${number})\s*%$`, 'i')
const rise = new RegExp(String.raw`^(${number})${length}\s*(?::|\/|in|over|on)\s*(${number})${length}$`, 'i')
const metres: Readonly<Record<string, number>> = { mm: 0.001, cm: 0.01, m: 1 }

/**
 * A slope as a person types it: "1.8", "1.8°", "1,8 deg", "0.03 rad", "12 mm/m", "3 %", "15:800", "15/800 mm", "15 mm over 0.8 m". A bare number is
 * in `bare` units. Rise over run is the tangent, run horizontal. Beyond ± 45° it is refused: no ball lane is so steep, a typing error is.
 */
export function parseSlope(text: string, bare: 'deg' | 'mm-per-m' = 'deg'): TypedSlope {
  const clean = text.trim().replaceAll('−', '-').replaceAll('–', '-')
  const read = (part: string | undefined) => Number((part ?? '').replace(',', '.'))
  const asGradient = (gradient: number): TypedSlope => {
    if (!Number.isFinite(gradient)) return { kind: 'not-a-slope', text }
    if (Math.abs(gradient) > 1)
      return { kind: 'slope-too-steep', text, degrees: (maths.atan(gradient) * 180) / Math.PI }
    return { kind: 'slope', form: 'gradient', gradient }
  }
  const asAngle = (angle_rad: number): TypedSlope => {
    if (!Number.isFinite(angle_rad)) return { kind: 'not-a-slope', text }
    // 1e-12: 45° itself passes whatever its rounding.
    if (Math.abs(angle_rad) > Math.PI / 4 + 1e-12)
      return { kind: 'slope-too-steep', text, degrees: (angle_rad * 180) / Math.PI }
    return { kind: 'slope', form: 'angle', angle_rad }
  }
  const mm = perMetre.exec(clean)
  if (mm) return asGradient(read(mm[1]) / 1000)
  const share = percent.exec(clean)
  if (share) return asGradient(read(share[1]) / 100)
  const over = rise.exec(clean)
  if (over) {
    const [, up, upUnit, run, runUnit] = over
    // One unit alone serves both: "15/800 mm".
    const upScale = metres[(upUnit ?? runUnit ?? 'm').toLowerCase()]!
    const runScale = metres[(runUnit ?? upUnit ?? 'm').toLowerCase()]!
    const horizontal = read(run) * runScale
    if (!(horizontal > 0)) return { kind: 'not-a-slope', text }
    return asGradient((read(up) * upScale) / horizontal)
  }
  const degrees = angle.exec(clean)
  if (degrees) {
    const [, value, unit] = degrees
    if (unit === undefined && bare === 'mm-per-m') return asGradient(read(value) / 1000)
    if (unit?.toLowerCase() === 'rad') return asAngle(read(value))
    if (unit === "'") return asAngle(((read(value) / 60) * Math.PI) / 180)
    return asAngle((read(value) * Math.PI) / 180)
  }
  return { kind: 'not-a-slope', text }
}

/** The record's form of a typed slope, with the sources of its uncertainty. */
export function slopeFrom(typed: Extract<TypedSlope, { kind: 'slope' }>, sources: string[]): Slope {
  return typed.form === 'angle'
    ? { kind: 'angle', angle_rad: { value: typed.angle_rad, sources } }
    : { kind: 'gradient', gradient: { value: typed.gradient, sources } }
}
