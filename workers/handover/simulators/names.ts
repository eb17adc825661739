import { plain } from '../../decide/figures.ts'
import type { GuideShape } from '../../physics/shapes.ts'
import type { Ball } from '../../record/index.ts'

const mm = (metres: number): string => `${plain(metres * 1000)} mm`
const degrees = (angle_rad: number): string => `${plain((angle_rad * 180) / Math.PI)}°`

/** A guide in a few words, with its sizes. */
export function guideName(shape: GuideShape): string {
  switch (shape.kind) {
    case 'flat':
      return 'flat'
    case 'v-groove':
      return `V-groove of ${degrees(shape.included_rad)}${shape.roll_rad ? `, leaning by ${degrees(shape.roll_rad)}` : ''}`
    case 'unequal-v':
      return `V-groove of ${degrees(shape.left_rad)} and ${degrees(shape.right_rad)}`
    case 'two-rails':
      return `two rails of ${mm(2 * shape.railRadius_m)}, ${mm(shape.centres_m)} apart`
    case 'slot':
      return `slot of ${mm(shape.gap_m)}`
    case 'channel':
      return `round channel of radius ${mm(shape.radius_m)}`
    case 'typed':
      return `guide of rolling radius ${mm(shape.rollingRadius_m)}`
  }
}

export function ballName({ name, diameter_m }: Ball): string {
  return `${name} (${mm(diameter_m.value)})`
}

/** A name that every file system takes. */
export function fileStem(name: string): string {
  const plainName = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
  return plainName === '' ? 'lane' : plainName
}
