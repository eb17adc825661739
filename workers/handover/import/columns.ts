import type { Sheet } from './sheet.ts'

export type TimeUnit = 's' | 'ms'
export type LengthUnit = 'm' | 'cm' | 'mm'

/** When each row was: the number of a frame, or a time. */
export type When =
  | { readonly kind: 'frame'; readonly column: number }
  | { readonly kind: 'time'; readonly column: number; readonly unit: TimeUnit }

/** Where the ball was: in the displayed picture [px], or along the lane. */
export type Where =
  | { readonly kind: 'picture'; readonly x: number; readonly y: number }
  | { readonly kind: 'along'; readonly s: number; readonly unit: LengthUnit }

/** Which column, from 0, means what. The last five may be left out. */
export interface ColumnChoice {
  readonly when: When
  readonly where: Where
  /** Standard uncertainty, in the unit of the place. */
  readonly sigma?: number | undefined
  readonly run?: number | undefined
  /** Of a table that Slowlane wrote: the frame's ticks, where each mark came from, what it is doubted for. */
  readonly ticks?: number | undefined
  readonly origin?: number | undefined
  readonly doubt?: number | undefined
}

/** What the names of the columns suggest; null for what they do not tell. */
export interface ColumnProposal extends Omit<ColumnChoice, 'when' | 'where'> {
  readonly when: When | null
  readonly where: Where | null
}

const names = {
  frame: /^(frame|frames|frame (no|nr|number)|bild|image)$/,
  time: /^(t|time|zeit|temps|seconds|sec|ms)$/,
  x: /^(x|x (pos|position|centre|center)|cx)$/,
  y: /^(y|y (pos|position|centre|center)|cy)$/,
  s: /^(s|position|pos|distance|dist|along|path|weg|place)$/,
  sigma: /^(sigma|u|uncertainty|sd|std|error|σ)$/,
  run: /^(run|run (id|name|no|nr|number)|trial|series|name)$/,
  ticks: /^ticks$/,
  origin: /^origin$/,
  doubt: /^doubt$/,
} as const
type Role = keyof typeof names

/** Proposes a meaning for each column by its name: `t_s`, `time [ms]`, `x (px)`, `s_mm`. */
export function proposeColumns(sheet: Sheet): ColumnProposal {
  const read = (sheet.header ?? []).map((name, i) => apart(name, sheet.units?.[i] ?? ''))
  const find = (role: Role, fits: (unit: string) => boolean = () => true): number | undefined => {
    const at = read.findIndex(({ name, unit }) => names[role].test(name) && fits(unit))
    return at < 0 ? undefined : at
  }
  const isLength = (unit: string) => unit === 'm' || unit === 'cm' || unit === 'mm'
  const [frame, time] = [find('frame'), find('time')]
  const [x, y] = [find('x', (unit) => !isLength(unit)), find('y', (unit) => !isLength(unit))]
  const s = find('s', (unit) => unit !== 'px') ?? find('x', isLength)
  return {
    when:
      time !== undefined && (frame === undefined || s !== undefined)
        ? { kind: 'time', column: time, unit: read[time]!.unit === 'ms' || read[time]!.name === 'ms' ? 'ms' : 's' }
        : frame === undefined
          ? null
          : { kind: 'frame', column: frame },
    where:
      s !== undefined
        ? { kind: 'along', s, unit: isLength(read[s]!.unit) ? read[s]!.unit : 'm' }
        : x !== undefined && y !== undefined
          ? { kind: 'picture', x, y }
          : null,
    sigma: find('sigma'),
    run: find('run'),
    ticks: find('ticks'),
    origin: find('origin'),
    doubt: find('doubt'),
  }
}

/** A column's name without its unit, and the unit: from brackets, from the ending, or from the row of units. */
function apart(header: string, unitRow: string): { readonly name: string; readonly unit: string } {
  const plain = header.trim().toLowerCase()
  const bracketed = /^(.*?)[\s_]*[[(]\s*([^\])]*)\s*[\])]$/.exec(plain)
  const ended = /^(.+)[_\s/](s|ms|m|cm|mm|px|pixels?)$/.exec(plain)
  const [name, unit] = bracketed ? [bracketed[1]!, bracketed[2]!] : ended ? [ended[1]!, ended[2]!] : [plain, unitRow]
  return {
    name: name.replace(/[_.\-\s]+/g, ' ').trim(),
    unit: unit
      .trim()
      .toLowerCase()
      .replace(/^pixels?$/, 'px'),
  }
}
