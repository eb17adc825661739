import type { Flag } from '../../../workers/fit/flags.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { assertNever } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'

/** A flag in two or three words for the table; the whole sentence stands in the lane's sheet. */
export function flagWord(flag: Flag): string {
  switch (flag.kind) {
    case 'slows':
      return 'slows here'
    case 'implausible':
      return 'faster than gravity allows'
    case 'one-run':
      return 'one run only'
    case 'runs-scatter':
      return 'runs differ'
    case 'marks-correlated':
      return 'residuals bend'
    case 'marks-scatter':
      return 'marks scatter'
    case 'outliers':
      return `${flag.marks.length} far-off ${flag.marks.length === 1 ? 'mark' : 'marks'}`
    case 'slope-dominates':
      return `slope ${showPlain(Math.round(flag.share * 100))} % of ±`
    case 'source-dominates':
      return `${flag.name} ${showPlain(Math.round(flag.share * 100))} % of ±`
    case 'short-run':
      return 'short run'
    case 'direction-disagrees':
      return 'direction disagrees'
    case 'resting-left-out':
      return 'rest left out'
    case 'ways-disagree':
      return 'ways disagree'
    case 'slow-spot':
      return `slow spot at ${showPlain(Math.round(500 * (flag.from_m + flag.to_m)))} mm`
    case 'depends-on-speed':
      return 'depends on speed'
    case 'model-doubted':
      return 'marks speak for another model'
    case 'uneven':
      return 'uneven along the lane'
    case 'slip':
      return 'slips'
    case 'rolling-radius-disagrees':
      return 'turns more than the guide says'
    case 'air-drag':
      return `air ${showPlain(Math.round(flag.share * 100))} % of resistance`
    default:
      return assertNever(flag)
  }
}

/** What would change a person's mind, the gravest first; what is only worth knowing stays in the sheet. */
const loud: readonly Flag['kind'][] = [
  'implausible',
  'slip',
  'slow-spot',
  'slows',
  'ways-disagree',
  'depends-on-speed',
  'outliers',
  'direction-disagrees',
  'one-run',
  'runs-scatter',
  'slope-dominates',
]

/** The flags that the table has room for: one of a kind, the gravest two kinds. */
export function loudFlags(result: LaneResult): Flag[] {
  return loud.flatMap((kind) => result.flags.find((flag) => flag.kind === kind) ?? []).slice(0, 2)
}
