import type { Flag } from '../../../workers/fit/flags.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
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
    default:
      return (flag as { kind: string }).kind.replaceAll('-', ' ')
  }
}

/** What would change a person's mind comes first; what is only worth knowing stays in the sheet. */
const rank = (flag: Flag): number => {
  const order: readonly string[] = [
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
  const at = order.indexOf(flag.kind)
  return at < 0 ? order.length : at
}

export function loudFlags(result: LaneResult): Flag[] {
  return result.flags
    .filter((flag) => rank(flag) < 11)
    .sort((a, b) => rank(a) - rank(b))
    .slice(0, 2)
}
