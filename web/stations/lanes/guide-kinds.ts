import type { Draft } from 'immer'
import { assertNever, type Guide, type SlowlaneRecord, type Stated } from '../../../workers/record/index.ts'
import { units, type DisplayUnit } from '../../format/units.ts'
import { writeStated, type StatedEntry } from '../stated/stated-edits.ts'

export type GuideKind = Guide['kind']

export const guideKinds: readonly { readonly value: GuideKind; readonly label: string }[] = [
  { value: 'flat', label: 'flat' },
  { value: 'v-groove', label: 'V-groove' },
  { value: 'unequal-v', label: 'V-groove with unequal walls' },
  { value: 'two-rails', label: 'two rails' },
  { value: 'slot', label: 'slot between two edges' },
  { value: 'channel', label: 'round channel' },
  { value: 'typed', label: 'typed rolling radius' },
]

/** One dimension of a guide: how it is called, shown, and what stands in for not knowing it. */
export interface GuideSize {
  readonly key: string
  readonly label: string
  readonly name: string
  readonly unit: DisplayUnit
  readonly quantity: 'rad' | 'm'
  readonly usualHalf: number
  readonly usualBasis: string
  readonly wide: StatedEntry
  readonly brings: string
  readonly optional?: boolean
}

const degree = Math.PI / 180
const guess = (value: number, half: number): StatedEntry => ({
  value,
  distribution: { kind: 'rectangular', half },
  basis: 'not measured: a wide guess',
  unknown: true,
})
const caliper = { usualHalf: 0.0001, usualBasis: 'calliper' } as const
const angle = (key: string, label: string, name: string, value: number): GuideSize => ({
  key,
  label,
  name,
  unit: units.deg,
  quantity: 'rad',
  usualHalf: 2 * degree,
  usualBasis: 'the cutter’s angle',
  wide: guess(value * degree, 15 * degree),
  brings: 'A painted dot tells it best: measure the distance per turn and type the rolling radius instead.',
})
const size = (
  key: string,
  label: string,
  name: string,
  value_mm: number,
  half_mm: number,
  optional = false,
): GuideSize => ({
  key,
  label,
  name,
  unit: units.mm,
  quantity: 'm',
  ...caliper,
  wide: guess(value_mm / 1000, half_mm / 1000),
  brings: 'A calliper brings it to 0.1 mm.',
  ...(optional ? { optional } : {}),
})

export const guideSizes: Readonly<Record<GuideKind, readonly GuideSize[]>> = {
  flat: [],
  'v-groove': [
    angle('included_rad', 'Angle between the walls', 'angle of the groove', 90),
    size('depth_m', 'Depth of the groove', 'depth of the groove', 6, 3, true),
  ],
  'unequal-v': [
    angle('left_rad', 'Left wall, from upright', 'angle of the left wall', 45),
    angle('right_rad', 'Right wall, from upright', 'angle of the right wall', 45),
  ],
  'two-rails': [
    size('railRadius_m', 'Radius of a rail', 'radius of the rails', 2, 1),
    size('centres_m', 'Rails apart, centre to centre', 'distance of the rails', 10, 3),
  ],
  slot: [
    size('gap_m', 'Width of the slot', 'width of the slot', 8, 3),
    size('depth_m', 'Depth of the slot', 'depth of the slot', 6, 3, true),
  ],
  channel: [size('radius_m', 'Radius of the channel', 'radius of the channel', 12, 4)],
  typed: [
    {
      ...size('rollingRadius_m', 'Rolling radius', 'rolling radius', 6, 2),
      usualHalf: 0.00005,
      usualBasis: 'distance per turn of a painted dot, over 2π',
      brings: 'Paint a dot on the ball and measure ten turns: the radius is the distance per turn over 2π.',
    },
  ],
}

/** The stated dimension of a guide under that key. */
export const sizeOf = (guide: Guide, key: string): Stated | undefined =>
  (guide as unknown as Record<string, Stated | undefined>)[key]

/** The same guide with one dimension stated anew. */
export function withSize(guide: Draft<Guide>, key: string, stated: Draft<Stated>): void {
  Object.assign(guide, { [key]: stated })
}

/** A guide of another kind: its dimensions are not known until they are typed, and say so. */
export function newGuide(draft: Draft<SlowlaneRecord>, kind: GuideKind): Draft<Guide> {
  const state = (key: string): Draft<Stated> => {
    const found = guideSizes[kind].find((s) => s.key === key)
    if (!found) throw new Error(`a ${kind} has no ${key}`)
    return writeStated(draft, undefined, found.wide, { name: found.name, unit: found.quantity })
  }
  switch (kind) {
    case 'flat':
      return { kind }
    case 'v-groove':
      return { kind, included_rad: state('included_rad') }
    case 'unequal-v':
      return { kind, left_rad: state('left_rad'), right_rad: state('right_rad') }
    case 'two-rails':
      return { kind, railRadius_m: state('railRadius_m'), centres_m: state('centres_m') }
    case 'slot':
      return { kind, gap_m: state('gap_m') }
    case 'channel':
      return { kind, radius_m: state('radius_m') }
    case 'typed':
      return { kind, rollingRadius_m: state('rollingRadius_m') }
    default:
      return assertNever(kind)
  }
}

/** Why a dimension cannot be, before the ball is even looked at. */
export function sizeFault(kind: GuideSize, value: number): string | undefined {
  const shown = `${Number((value / kind.unit.si).toPrecision(4))} ${kind.unit.label}`
  if (!(value > 0)) return `${kind.label}: ${shown} cannot be. Type more than 0.`
  if (kind.quantity === 'rad' && value >= Math.PI) return `${kind.label}: ${shown} is no groove. Type less than 180°.`
  return undefined
}
