import { showPlain } from '../format/value.ts'
import type { AxisOf, Curve, Figure } from './figure.ts'

/** Rows shown at once; the whole of a long figure is in its files. */
const mostRows = 200

/** The numbers of a figure: one table a curve where the places differ, one for all where they are shared. */
export function FigureTable({ figure }: { readonly figure: Figure }) {
  const curves = figure.curves.filter((curve) => !curve.guide)
  const [first] = curves
  const shared = first !== undefined && curves.every((curve) => sameNumbers(curve.x, first.x))
  if (shared) return <NumbersTable figure={figure} curves={curves} />
  return curves.map((curve) => <NumbersTable key={curve.name} figure={figure} curves={[curve]} />)
}

function NumbersTable({ figure, curves }: { readonly figure: Figure; readonly curves: readonly Curve[] }) {
  const [first] = curves
  if (!first) return null
  // Rows of a lying plot are named by y and measured along x.
  const lying = first.kind === 'rows'
  const [place, measured] = lying ? [figure.y, figure.x] : [figure.x, figure.y]
  const places = lying ? first.y : first.x
  const rows = (first.kind === 'treads' ? places.slice(0, -1) : places).slice(0, mostRows)
  return (
    <div
      className="table-scroll"
      tabIndex={0}
      role="group"
      aria-label={`Numbers: ${curves.map((c) => c.name).join(', ')}`}
    >
      <table>
        <thead>
          <tr>
            <th scope="col" className={place.names ? undefined : 'number'}>
              {headOf(place.label, place)}
            </th>
            {curves.map((curve) => (
              <th key={curve.name} scope="col" className="number">
                {headOf(curve.name, measured)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((at, i) => (
            <tr key={i}>
              <th scope="row" className={place.names ? undefined : 'number'}>
                {place.names?.[at] ?? showPlain(at, place.digits ?? 4)}
              </th>
              {curves.map((curve) => (
                <td key={curve.name} className="number">
                  {cell(curve, i, measured)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      {places.length > mostRows && (
        <p className="quiet">
          The first {mostRows} of {places.length} rows. All of them are in the tables of Handover.
        </p>
      )}
    </div>
  )
}

const headOf = (label: string, axis: AxisOf): string => (axis.unit === '' ? label : `${label}, ${axis.unit}`)

function cell(curve: Curve, i: number, axis: AxisOf): string {
  const number = (curve.kind === 'rows' ? curve.x : curve.y)[i]
  if (number === undefined || !Number.isFinite(number)) return '–'
  const value = axis.names?.[number] ?? showPlain(number, axis.digits ?? 4)
  const low = curve.low?.[i]
  const high = curve.high?.[i]
  if (low !== undefined && high !== undefined) return `${value} (${showPlain(low, 3)} … ${showPlain(high, 3)})`
  const U = curve.U?.[i]
  return U === undefined ? value : `${value} ± ${showPlain(U, 2)}`
}

const sameNumbers = (a: readonly number[], b: readonly number[]): boolean =>
  a.length === b.length && a.every((x, i) => x === b[i])
