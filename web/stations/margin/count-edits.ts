import type { Draft } from 'immer'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { parseNumber } from '../../format/parse.ts'
import { newId } from '../../record/new-id.ts'

/** Where a count belongs. */
export interface CountPlace {
  readonly laneId: string
  readonly finishId: string
  readonly mountingId: string
  readonly ballId: string
}

export function addPassages(
  draft: Draft<SlowlaneRecord>,
  place: CountPlace,
  passages: number,
  stalls: number,
  on: string,
): void {
  const id = newId('trial-')
  draft.trials[id] = { kind: 'passages', id, ...place, passages, stalls, on }
}

export function addStartAngles(
  draft: Draft<SlowlaneRecord>,
  place: CountPlace,
  angles_rad: readonly number[],
  on: string,
): void {
  const id = newId('trial-')
  draft.trials[id] = { kind: 'start-angles', id, ...place, angles_rad: [...angles_rad], on }
}

/** What is wrong with a count of passages; undefined when it can be. */
export function passagesFault(passages: number | null, stalls: number | null): string | undefined {
  if (passages === null || stalls === null) return 'Enter how many balls went down, and how many of them stalled.'
  if (!Number.isInteger(passages) || !Number.isInteger(stalls) || passages < 1 || stalls < 0)
    return `${passages} passages and ${stalls} stalls cannot be counted: whole numbers, at least one passage.`
  if (stalls > passages)
    return `${stalls} stalls out of ${passages} passages: a ball that stalls counts as a passage too. Enter all that were sent down.`
  return undefined
}

export type TypedAngles =
  | { readonly kind: 'angles'; readonly angles_rad: readonly number[] }
  | { readonly kind: 'fault'; readonly fault: string }

/** Start angles typed in a row, parted by blanks or semicolons; in degrees, or mm per m where the record shows those. */
export function parseAngles(text: string, unit: 'deg' | 'mm-per-m'): TypedAngles {
  const parts = text.split(/[\s;]+/).filter((part) => part !== '')
  if (parts.length === 0)
    return { kind: 'fault', fault: 'Enter the angle of each start, parted by blanks: 1.2 1.35 1.1' }
  const angles_rad: number[] = []
  for (const part of parts) {
    const parsed = parseNumber(part.replace(/°$|,$/, ''))
    if (parsed.kind !== 'number')
      return { kind: 'fault', fault: `“${part}” is no angle. Enter numbers parted by blanks: 1.2 1.35 1.1` }
    const angle = unit === 'deg' ? (parsed.value * Math.PI) / 180 : Math.atan(parsed.value / 1000)
    if (!(angle > 0 && angle <= Math.PI / 4))
      return {
        kind: 'fault',
        fault: `A ball does not start at ${part}${unit === 'deg' ? '°' : ' mm/m'}: angles lie between 0 and 45°.`,
      }
    angles_rad.push(angle)
  }
  return { kind: 'angles', angles_rad }
}
