import type { ReactNode } from 'react'

/** Named figures, one a row. */
export function FiguresTable({ rows }: { readonly rows: readonly (readonly [string, ReactNode])[] }) {
  return (
    <table className="figures">
      <tbody>
        {rows.map(([name, value]) => (
          <tr key={name}>
            <th scope="row">{name}</th>
            <td className="number">{value}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
