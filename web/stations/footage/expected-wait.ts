import type { ClipFacts } from '../../../workers/bridge/decode-client.ts'
import { showPlain } from '../../format/value.ts'

/** Below this [s] nobody needs to be told. */
const notWorthSaying_s = 3

/** How long reading so many frames is expected to take on a slow way of decoding; null where it is quick. */
export function expectedWait(facts: Pick<ClipFacts, 'expectedFrame_s' | 'name'>, frames: number): string | null {
  if (facts.expectedFrame_s === null) return null
  const wait_s = facts.expectedFrame_s * frames
  if (wait_s < notWorthSaying_s) return null
  return `Reading ${frames} frames is expected to take about ${inWords(wait_s)}: this clip needs the slow decoder. It can be cancelled, and the page stays usable.`
}

function inWords(time_s: number): string {
  if (time_s < 90) return `${showPlain(time_s, 2)} s`
  return `${showPlain(time_s / 60, 2)} minutes`
}
