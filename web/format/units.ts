/** A unit as shown: one of it is `si` in SI. */
export interface DisplayUnit {
  readonly label: string
  /** For screen readers and beside lone numbers. */
  readonly name: string
  readonly si: number
}

const unit = (label: string, name: string, si: number): DisplayUnit => ({ label, name, si })

export const units = {
  one: unit('', '', 1),
  percent: unit('%', 'percent', 0.01),
  mm: unit('mm', 'millimetres', 1e-3),
  cm: unit('cm', 'centimetres', 1e-2),
  m: unit('m', 'metres', 1),
  micrometre: unit('µm', 'micrometres', 1e-6),
  inch: unit('in', 'inches', 0.0254),
  m_s: unit('m/s', 'metres per second', 1),
  mm_s: unit('mm/s', 'millimetres per second', 1e-3),
  m_s2: unit('m/s²', 'metres per second squared', 1),
  mm_s2: unit('mm/s²', 'millimetres per second squared', 1e-3),
  s: unit('s', 'seconds', 1),
  ms: unit('ms', 'milliseconds', 1e-3),
  microsecond: unit('µs', 'microseconds', 1e-6),
  Hz: unit('Hz', 'hertz', 1),
  per_s: unit('1/s', 'per second', 1),
  deg: unit('°', 'degrees', Math.PI / 180),
  mm_per_m: unit('mm/m', 'millimetres per metre', 1e-3),
  kg: unit('kg', 'kilograms', 1),
  g: unit('g', 'grams', 1e-3),
  kg_m3: unit('kg/m³', 'kilograms per cubic metre', 1),
  g_cm3: unit('g/cm³', 'grams per cubic centimetre', 1000),
  px: unit('px', 'pixels', 1),
  mJ: unit('mJ', 'millijoules', 1e-3),
} as const satisfies Readonly<Record<string, DisplayUnit>>

/** Units that may be typed behind a number, by what they measure, with the spellings people use. */
const spellings: Readonly<Record<string, DisplayUnit>> = {
  µm: units.micrometre,
  um: units.micrometre,
  mm: units.mm,
  cm: units.cm,
  m: units.m,
  in: units.inch,
  inch: units.inch,
  inches: units.inch,
  '"': units.inch,
  '″': units.inch,
  s: units.s,
  ms: units.ms,
  µs: units.microsecond,
  us: units.microsecond,
  hz: units.Hz,
  fps: units.Hz,
  '°': units.deg,
  deg: units.deg,
  degrees: units.deg,
  'mm/m': units.mm_per_m,
  '%': units.percent,
  kg: units.kg,
  g: units.g,
  'kg/m³': units.kg_m3,
  'kg/m3': units.kg_m3,
  'g/cm³': units.g_cm3,
  'g/cm3': units.g_cm3,
  'm/s': units.m_s,
  'mm/s': units.mm_s,
  'm/s²': units.m_s2,
  'm/s2': units.m_s2,
}

const families: readonly (readonly DisplayUnit[])[] = [
  [units.micrometre, units.mm, units.cm, units.m, units.inch],
  [units.microsecond, units.ms, units.s],
  [units.Hz, units.per_s],
  [units.kg, units.g],
  [units.kg_m3, units.g_cm3],
  [units.m_s, units.mm_s],
  [units.m_s2, units.mm_s2],
  [units.deg],
  [units.mm_per_m, units.percent],
  [units.one, units.percent],
]

/** The unit that a spelling names, if a field of unit `of` can take it; undefined for unknown or foreign units. */
export function unitFor(spelling: string, of: DisplayUnit): DisplayUnit | undefined {
  const named = spellings[spelling.trim().toLowerCase()]
  if (!named) return undefined
  if (named === of) return named
  return families.some((family) => family.includes(named) && family.includes(of)) ? named : undefined
}
