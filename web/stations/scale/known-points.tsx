import { useState } from 'react'
import type { planeReport } from '../../../workers/measure/plane-report.ts'
import type { Plane, Px, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { PlusMinusField, type StatedFigures } from '../../parts/plus-minus-field.tsx'
import { commit, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { removeKnownPoint, type KnownPoint } from './plane-edits.ts'

/** Marks set out with a steel rule on a board (common practice, no source). */
const setOut = { kind: 'rectangular', half: 0.0005 } as const
const setOutBasis = 'set out with a steel rule'

/** The points are placed: where does each lie on the plane? */
export function KnownPoints(props: {
  readonly points: readonly Px[]
  readonly onEnter: (points: readonly KnownPoint[], position: StatedFigures) => void
}) {
  const { points, onEnter } = props
  const [places, setPlaces] = useState<readonly (readonly [number | null, number | null])[]>(
    points.map(() => [null, null]),
  )
  const [position, setPosition] = useState<StatedFigures>({
    value: 0,
    distribution: setOut,
    basis: setOutBasis,
    unknown: false,
  })
  const put = (i: number, axis: 0 | 1, value: number) =>
    setPlaces(places.map((place, k) => (k !== i ? place : axis === 0 ? [value, place[1]] : [place[0], value])))
  const known = points.flatMap((at, i): KnownPoint[] => {
    const [x_m, y_m] = places[i] ?? [null, null]
    return x_m === null || y_m === null ? [] : [{ at, x_m, y_m }]
  })
  return (
    <>
      <p className="small quiet">Where does each lie on its plane? x to the right, y downward, from any origin.</p>
      <table className="choose-table">
        <thead>
          <tr>
            <th scope="col">point</th>
            <th scope="col">x</th>
            <th scope="col">y</th>
          </tr>
        </thead>
        <tbody>
          {points.map((_, i) => (
            <tr key={i}>
              <td>{i + 1}</td>
              {([0, 1] as const).map((axis) => (
                <td key={axis}>
                  <NumberField
                    label={`${axis === 0 ? 'x' : 'y'} of point ${i + 1}`}
                    labelHidden
                    unit={units.mm}
                    value={places[i]?.[axis] ?? null}
                    onChange={(value) => put(i, axis, value)}
                  />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <PlusMinusField
        label="Each may be off by (type the ± only)"
        unit={units.mm}
        figures={position}
        onChange={setPosition}
        usual={setOut}
        usualBasis={setOutBasis}
      />
      <button
        type="button"
        className="button main"
        disabled={known.length < points.length}
        onClick={() => onEnter(known, position)}
      >
        Take these points
      </button>
    </>
  )
}

interface RowsProps {
  readonly view: View
  readonly plane: Extract<Plane, { kind: 'points' }>
  readonly report: ReturnType<typeof planeReport>
}

/** Known points of a plane: their places, and how far each is from where all together put it. */
export function KnownPointRows({ view, plane, report }: RowsProps) {
  const readOnly = useRecordState((s) => s.readOnly)
  const arrows = report.kind === 'plane-report' ? report.arrows : []
  const put = (i: number, key: 'x_m' | 'y_m', value: number) =>
    commit('place of a known point', (draft) => {
      const held = draft.views[view.id]?.planes[plane.id]
      if (held?.kind === 'points' && held.points[i]) held.points[i][key] = value
    })
  return (
    <>
      <table className="choose-table">
        <thead>
          <tr>
            <th scope="col">point</th>
            <th scope="col">x</th>
            <th scope="col">y</th>
            <th scope="col" className="number">
              off, mm
            </th>
            <th scope="col">
              <span className="only-read-aloud">remove</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {plane.points.map((point, i) => (
            <tr key={i}>
              <td>{i + 1}</td>
              {(['x_m', 'y_m'] as const).map((key) => (
                <td key={key}>
                  <NumberField
                    label={`${key === 'x_m' ? 'x' : 'y'} of point ${i + 1}`}
                    labelHidden
                    unit={units.mm}
                    value={point[key]}
                    readOnly={readOnly}
                    onChange={(value) => put(i, key, value)}
                  />
                </td>
              ))}
              <td className="number">{arrows[i] ? showPlain(1000 * arrows[i].distance_m, 2) : ''}</td>
              <td>
                <button
                  type="button"
                  className="button plain small-button"
                  disabled={readOnly}
                  aria-label={`Remove point ${i + 1}`}
                  onClick={() =>
                    commit('remove a known point', (draft) => {
                      const held = draft.views[view.id]?.planes[plane.id]
                      if (held) removeKnownPoint(held, i)
                    })
                  }
                >
                  remove
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {plane.points.length === 4 && (
        <p className="small quiet">Four points leave nothing over; a fifth would tell whether they agree.</p>
      )}
      <StatedEditor
        label="Each may be off by (type the ± only)"
        unit={units.mm}
        stated={plane.position_m}
        about={{ name: 'place of each known point', unit: 'm' }}
        put={(draft, stated) => {
          const held = draft.views[view.id]?.planes[plane.id]
          if (held?.kind === 'points') held.position_m = { ...stated, value: 0 }
        }}
        usual={setOut}
        usualBasis={setOutBasis}
      />
    </>
  )
}
