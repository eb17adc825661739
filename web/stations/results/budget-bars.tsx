import type { BudgetRow } from '../../../workers/fit/results.ts'
import { showPlain } from '../../format/value.ts'

/** Rows below this share are told together. */
const least = 0.01

/** What the ± is made of: one bar a source, the greatest first. */
export function BudgetBars({ rows, U }: { readonly rows: readonly BudgetRow[]; readonly U: number }) {
  const shown = rows.filter((row) => row.share >= least).slice(0, 8)
  const rest = rows.filter((row) => !shown.includes(row))
  const restShare = rest.reduce((sum, row) => sum + row.share, 0)
  const most = Math.max(...shown.map((row) => row.share), Number.MIN_VALUE)
  return (
    <table className="budget-bars">
      <caption>what makes up ± {showPlain(U, 2)}</caption>
      <thead className="only-read-aloud">
        <tr>
          <th scope="col">source</th>
          <th scope="col">bar</th>
          <th scope="col">share of the variance</th>
        </tr>
      </thead>
      <tbody>
        {shown.map((row) => (
          <tr key={row.sourceId ?? row.name}>
            <th scope="row">
              {row.name}
              {row.guessed && <span className="quiet"> (not known)</span>}
            </th>
            <td>
              <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
                <rect className="budget-bar" width={Math.max(1, (100 * row.share) / most)} height="10" />
              </svg>
            </td>
            <td className="number">{percent(row.share)}</td>
          </tr>
        ))}
        {rest.length > 0 && (
          <tr>
            <th scope="row" className="quiet">
              {rest.length} smaller
            </th>
            <td />
            <td className="number quiet">{percent(restShare)}</td>
          </tr>
        )}
      </tbody>
    </table>
  )
}

const percent = (share: number): string => (share > 0 && share < 0.005 ? '< 1 %' : `${Math.round(share * 100)} %`)
