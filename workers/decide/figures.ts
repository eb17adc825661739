/** Numbers in sentences, rounded as their uncertainty says. */
import * as maths from '../elementary/maths.ts'

const minus = (text: string): string => text.replace('-', '−')

/** `0.0040 ± 0.0005`, both in the unit shown; U to two significant digits, the value to the same place (JCGM 100:2008, 7.2.6). */
export function plusMinus(value: number, U: number, per = 1, unit = ''): string {
  const [v, w] = [value / per, Math.abs(U) / per]
  const behind = unit === '' ? '' : unit === '°' ? '°' : ` ${unit}`
  if (!Number.isFinite(v)) return 'unknown'
  if (!(w > 0) || !Number.isFinite(w)) return `${plain(v)}${behind}`
  const decimals = Math.min(12, Math.max(0, 1 - Math.floor(maths.log10(Number(w.toPrecision(2))))))
  return `${minus(v.toFixed(decimals))} ± ${w.toFixed(decimals)}${behind}`
}

/** Two or three figures, never in powers of ten. */
export function plain(value: number, significant = 3): string {
  if (!Number.isFinite(value)) return 'unknown'
  if (value === 0) return '0'
  const decimals = Math.min(12, Math.max(0, significant - 1 - Math.floor(maths.log10(Math.abs(value)))))
  return minus(Number(value.toPrecision(significant)).toFixed(decimals))
}

export const mm = (metres: number): string => `${plain(metres * 1000)} mm`
export const degrees = (angle_rad: number): string => `${minus(((angle_rad * 180) / Math.PI).toFixed(2))}°`
/** A tangent as millimetres of height per metre of way. */
export const perMetre = (tangent: number): string => `${plain(tangent * 1000)} mm/m`
export const counted = (n: number, what: string, many = `${what}s`): string => `${n} ${n === 1 ? what : many}`

/** A chance in words people compare: “about 1.5 %”, “about 1 in 1 500”, “less than 1 in a million”. */
export function aboutChance(p: number): string {
  if (p < 1e-6) return 'less than 1 in a million'
  return p > 0.999 ? 'nearly always' : `about ${chanceInWords(p)}`
}

/** The same without “about”. */
export function chanceInWords(p: number): string {
  if (!(p > 0)) return '0 %'
  if (p > 0.999) return 'over 99.9 %'
  if (p >= 0.01) return `${plain(100 * p, 2)} %`
  const oneIn = Number((1 / p).toPrecision(2))
  return `1 in ${String(oneIn).replace(/(\d)(?=(\d{3})+$)/g, '$1\u202f')}`
}

/** A duration: seconds below two minutes, then minutes, hours. */
export function duration(time_s: number): string {
  if (time_s < 120) return `${plain(time_s, 2)} s`
  return time_s < 7200 ? `${plain(time_s / 60, 2)} min` : `${plain(time_s / 3600, 2)} h`
}
