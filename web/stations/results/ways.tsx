import type { LaneResult, Way } from '../../../workers/fit/results.ts'
import { units } from '../../format/units.ts'
import { ValueU } from '../../parts/value-u.tsx'

const wayNames: Readonly<Record<Way['kind'], string>> = {
  'down-slope': 'down the slope',
  'up-slope': 'up the slope',
  level: 'level coast-down',
  'two-way': 'both directions',
  'several-mountings': 'several mountings',
}

/** Every way to C_rr that the record allows; the first is the one in the table. Shown where there is more than one. */
export function Ways({ result }: { readonly result: LaneResult }) {
  if (result.ways.length < 2) return null
  return (
    <table className="ways">
      <caption>ways to measure it, the sharpest first</caption>
      <tbody>
        {result.ways.map((way, i) => (
          <tr key={i}>
            <th scope="row">{wayNames[way.kind]}</th>
            <td className="number">
              <ValueU value={way.crr.value} U={way.crr.U} unit={units.one} strong={i === 0} />
            </td>
            <td className="number">
              {way.slope && <ValueU value={way.slope.value} U={way.slope.U} unit={units.deg} withUnit />}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
