import type { SlowlaneRecord } from '../../workers/record/index.ts'
import type { Stroke } from './overlay.ts'

/** Dashes that stay apart also for eyes that see no colour. */
const dashes: readonly (string | undefined)[] = [
  undefined,
  '8 4',
  '1.5 3.5',
  '12 3 2 3',
  '5 2',
  '14 5',
  '3 3',
  '10 3 2 3 2 3',
]

/** Colour and dash of a lane: by the place of its letter in the alphabet, so that adding a lane never recolours another. */
export function laneStroke(record: SlowlaneRecord, laneId: string): Stroke {
  const number = laneNumber(record.lanes[laneId]?.key ?? 'A')
  return { colour: `var(--lane-${number % 8})`, dash: dashes[number % dashes.length] }
}

/** Place of a lane’s letter in the alphabet, from 0. */
export const laneNumber = (key: string): number =>
  key.charCodeAt(0) - 65 + (key.length > 1 ? Number(key.slice(1)) || 0 : 0)
