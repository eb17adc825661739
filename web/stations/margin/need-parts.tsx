import type { Need } from '../../../workers/decide/needed-slope.ts'
import { useRecord } from '../../record/store.ts'
import { marginFigure, slopeText } from './slope-text.ts'

const titles: Readonly<Record<Need['kind'], string>> = {
  anywhere: 'moving balls, however slow',
  passing: 'moving balls as fast as filmed',
  'from-rest': 'balls at rest',
}

/** What each needed slope is made of. */
export function NeedParts({ needs, lead }: { readonly needs: readonly Need[]; readonly lead: Need }) {
  const record = useRecord((r) => r)
  const rows = [
    ['on average', (need: Need) => need.parts.usual],
    ['scatter', (need: Need) => need.parts.scatter],
    ['worst place', (need: Need) => need.parts.spot],
    ['what may be wrong', (need: Need) => need.parts.doubt],
    ['speed they bring', (need: Need) => need.parts.speed],
  ] as const
  return (
    <div className="table-room" tabIndex={0} role="region" aria-label="What the needed slope is made of">
      <table className="need-parts">
        <caption>what the needed slope is made of, mm/m</caption>
        <thead>
          <tr>
            <td />
            {needs.map((need) => (
              <th key={need.kind} scope="col" className="number">
                {need === lead ? <b>{titles[need.kind]}</b> : titles[need.kind]}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, part]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              {needs.map((need) => (
                <td key={need.kind} className="number">
                  {part(need) === 0 ? '–' : marginFigure(part(need))}
                </td>
              ))}
            </tr>
          ))}
          <tr>
            <th scope="row">needed</th>
            {needs.map((need) => (
              <td key={need.kind} className="number">
                {need.tangent > 0 ? slopeText(record, Math.atan(need.tangent)) : 'none'}
              </td>
            ))}
          </tr>
          <tr>
            <th scope="row">to spare</th>
            {needs.map((need) => (
              <td key={need.kind} className={need.margin < 0 ? 'number caution' : 'number'}>
                {marginFigure(need.margin)}
              </td>
            ))}
          </tr>
        </tbody>
      </table>
    </div>
  )
}
