import { useState } from 'react'
import type { Mounting } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { commit, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { heightGauge, putStation, removeStation } from './slope-edits.ts'

type Along = Extract<Mounting['slope'], { kind: 'along' }>

/** Heights at places along the lane: a slope for each stretch between them. */
export function Stations({ mounting, slope }: { mounting: Mounting; slope: Along }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const [s_m, setPlace] = useState<number | null>(null)
  const inMounting = (name: string, recipe: (held: Mounting) => void) =>
    commit(name, (draft) => {
      const held = draft.mountings[mounting.id]
      if (held) recipe(held)
    })
  return (
    <>
      <p className="small quiet">
        Height of the lane over one level (a flat bench, a water line) at places along it, measured from its start.
      </p>
      {slope.stations.length > 0 && (
        <table className="choose-table">
          <thead>
            <tr>
              <th scope="col" className="number">
                at, mm
              </th>
              <th scope="col">height</th>
              <th scope="col">
                <span className="only-read-aloud">remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {slope.stations.map((station, i) => (
              <tr key={station.s_m}>
                <td className="number">{showPlain(1000 * station.s_m, 5)}</td>
                <td>
                  <NumberField
                    label={`Height at ${showPlain(1000 * station.s_m, 5)} mm`}
                    labelHidden
                    unit={units.mm}
                    value={station.height_m}
                    readOnly={readOnly}
                    onChange={(height_m) =>
                      inMounting('height along the lane', (held) => putStation(held, station.s_m, height_m))
                    }
                  />
                </td>
                <td>
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Remove the height at ${showPlain(1000 * station.s_m, 5)} mm`}
                    onClick={() => inMounting('remove a height', (held) => removeStation(held, i))}
                  >
                    remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <div className="two-fields">
        <NumberField
          label="Another place, from the start"
          unit={units.mm}
          value={s_m}
          readOnly={readOnly}
          onChange={setPlace}
          onClear={() => setPlace(null)}
        />
        <NumberField
          label="Its height"
          unit={units.mm}
          value={null}
          readOnly={readOnly || s_m === null}
          onChange={(height_m) => {
            if (s_m === null) return
            inMounting('height along the lane', (held) => putStation(held, s_m, height_m))
            setPlace(null)
          }}
        />
      </div>
      <StatedEditor
        label="Each height may be off by (type the ± only)"
        unit={units.mm}
        stated={slope.height_m}
        about={{ name: 'height of each place', unit: 'm' }}
        put={(draft, stated) => {
          const held = draft.mountings[mounting.id]
          if (held?.slope.kind === 'along') held.slope.height_m = { ...stated, value: 0 }
        }}
        usual={heightGauge}
        usualBasis="height gauge or calliper"
      />
    </>
  )
}
