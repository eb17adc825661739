import type { ViewAgreement } from '../../../workers/measure/same-view.ts'
import { showPlain } from '../../format/value.ts'

export const alreadyThere = (names: readonly string[]): string =>
  `${names.map((name) => `“${name}”`).join(', ')} ${names.length === 1 ? 'is' : 'are'} in this record already; the file is at hand again.`

export const sameViewTaken = (name: string): string =>
  `“${name}” is taken as filmed from the same camera position as the clip before it, so its time, scale and lane lines serve here too. If the camera was moved, choose a new position beside its facts.`

export const removeClipSentence = (name: string, runs: number): string =>
  runs === 0
    ? `“${name}” has no runs. Remove it from the record? The file itself stays where it is.`
    : `“${name}” carries ${runs} ${runs === 1 ? 'run' : 'runs'} with all marks; they would go with it. The file itself stays where it is, and undo brings everything back.`

export const samePosition = (
  name: string,
  other: string,
  { agree, of }: Extract<ViewAgreement, { kind: 'same' }>,
): string =>
  `“${name}” has the same camera position as “${other}”: the still background agrees in ${agree} of ${of} places. Its time, scale and lane lines serve here too.`

export const touchedPosition = (
  name: string,
  other: string,
  { dx, dy }: Extract<ViewAgreement, { kind: 'moved' }>,
): string =>
  `“${name}” shows what “${other}” shows, but ${showPlain(Math.hypot(dx, dy), 2)} px away: the camera was touched between them. It uses the same set-up for now; check scale and lane lines, or choose a new position beside its facts.`

export const ownPosition = (name: string, other: string): string =>
  `“${name}” was filmed from another camera position than “${other}”: the still background does not agree. It has a position of its own, to be set up on Time, Scale and Lanes.`

export const sameFileAgain = (name: string): string =>
  `This is the file of “${name}”, byte for byte where it counts; it is at hand again.`
