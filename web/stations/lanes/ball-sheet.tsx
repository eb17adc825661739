import { useState } from 'react'
import { massFromDensity_kg } from '../../../workers/physics/ball.ts'
import type { Ball } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import {
  addBall,
  ballDiameterFault,
  ballMaterials,
  removeBall,
  runsWithBall,
  setDiameter,
  setMaterial,
  standardDiameters,
} from './ball-edits.ts'
import { choose, nextRun, useChosen } from './next-run.ts'

const another = 'another ball'

/** The ball that rolls: standard sizes and materials offered, anything else typed. */
export function BallSheet({ laneId }: { laneId: string }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const chosen = useChosen()
  const { ballId } = nextRun(record, laneId, chosen)
  const ball = ballId === null ? undefined : record.balls[ballId]
  const [adding, setAdding] = useState(false)
  const balls = Object.values(record.balls)
  const add = (diameter_m: number, material: string) => {
    let id = ''
    commit('add a ball', (draft) => {
      id = addBall(draft, diameter_m, material)
    })
    choose({ ballId: id })
    setAdding(false)
  }
  const isNew = adding || !ball
  return (
    <section aria-labelledby="ball-head">
      <h2 id="ball-head">Ball</h2>
      {balls.length > 0 && (
        <SelectField
          label="Ball of the next run"
          value={isNew ? another : ball.id}
          choices={[
            ...balls.map((b) => ({ value: b.id, label: b.name })),
            { value: another, label: 'another ball …', disabled: readOnly },
          ]}
          onChange={(id) => {
            setAdding(id === another)
            if (id !== another) choose({ ballId: id })
          }}
        />
      )}
      {isNew ? <NewBall disabled={readOnly} onBall={add} /> : <BallFields ball={ball} readOnly={readOnly} />}
    </section>
  )
}

/** A list that is walked through with arrow keys chooses as it goes: the ball is added by the button alone. */
function NewBall({ disabled, onBall }: { disabled: boolean; onBall: (diameter_m: number, material: string) => void }) {
  const [material, setMaterialName] = useState('bearing steel')
  const [diameter, setDiameterText] = useState<string | null>(null)
  return (
    <>
      <div className="two-fields">
        <SelectField
          label="Material"
          value={material}
          choices={ballMaterials.map((m) => ({ value: m.name, label: m.name }))}
          disabled={disabled}
          onChange={setMaterialName}
        />
        <SelectField
          label="Diameter"
          value={diameter}
          prompt="Choose …"
          choices={standardDiameters.map((d) => ({ value: String(d.diameter_m), label: d.label }))}
          disabled={disabled}
          hint="Any other can be typed afterwards."
          onChange={setDiameterText}
        />
      </div>
      <div>
        <button
          type="button"
          className="button"
          disabled={disabled || diameter === null}
          onClick={() => onBall(Number(diameter), material)}
        >
          Use this ball
        </button>
      </div>
    </>
  )
}

function BallFields({ ball, readOnly }: { ball: Ball; readOnly: boolean }) {
  const record = useRecord((r) => r)
  const inBall = (recipe: (ball: Ball) => void, name: string) =>
    commit(name, (draft) => {
      const held = draft.balls[ball.id]
      if (held) recipe(held)
    })
  const standard = standardDiameters.find((d) => Math.abs(d.diameter_m - ball.diameter_m.value) < 1e-7)
  return (
    <>
      <div className="two-fields">
        <SelectField
          label="Standard size"
          value={standard ? String(standard.diameter_m) : null}
          prompt="none of these"
          choices={standardDiameters.map((d) => ({ value: String(d.diameter_m), label: d.label }))}
          disabled={readOnly}
          onChange={(value) => commit('size of the ball', (draft) => setDiameter(draft, ball.id, Number(value)))}
        />
        <SelectField
          label="Material"
          value={ballMaterials.some((m) => m.name === ball.material) ? ball.material : null}
          prompt={ball.material || 'Choose …'}
          choices={ballMaterials.map((m) => ({ value: m.name, label: m.name }))}
          disabled={readOnly}
          onChange={(name) => commit('material of the ball', (draft) => setMaterial(draft, ball.id, name))}
        />
      </div>
      <StatedEditor
        label="Diameter"
        unit={units.mm}
        stated={ball.diameter_m}
        about={{ name: 'diameter of the ball', unit: 'm' }}
        put={(draft, stated) => {
          const held = draft.balls[ball.id]
          if (held) held.diameter_m = stated
        }}
        check={ballDiameterFault}
        usual={{ kind: 'rectangular', half: 0.00005 }}
        usualBasis="calliper"
      />
      <details>
        <summary className="small quiet">
          {massOf(ball)}, {ball.hollow ? 'hollow' : 'solid'}
        </summary>
        <StatedEditor
          label="Density"
          unit={units.g_cm3}
          stated={ball.density_kg_m3}
          about={{ name: `density of ${ball.material}`, unit: 'kg/m3' }}
          put={(draft, stated) => {
            const held = draft.balls[ball.id]
            if (held) held.density_kg_m3 = stated
          }}
          check={(density) => (density > 0 ? undefined : 'A density must be greater than 0.')}
          usual={{ kind: 'rectangular', half: 100 }}
          usualBasis="tables"
        />
        <StatedEditor
          label="Mass, weighed"
          unit={units.g}
          stated={ball.mass_kg}
          about={{ name: 'mass of the ball', unit: 'kg' }}
          put={(draft, stated) => {
            const held = draft.balls[ball.id]
            if (held) held.mass_kg = stated
          }}
          check={(mass) => (mass > 0 ? undefined : 'A mass must be greater than 0.')}
          usual={{ kind: 'rectangular', half: 0.00005 }}
          usualBasis="kitchen scale"
        />
        <StatedEditor
          label="Hollow: inner over outer diameter"
          unit={units.one}
          stated={ball.hollow}
          about={{ name: 'hollow of the ball', unit: '1' }}
          put={(draft, stated) => {
            const held = draft.balls[ball.id]
            if (held) held.hollow = stated
          }}
          check={(ratio) =>
            ratio >= 0 && ratio < 1
              ? undefined
              : `${showPlain(ratio)} cannot be: type 0 for a solid ball, just under 1 for a thin shell.`
          }
          usual={{ kind: 'rectangular', half: 0.02 }}
          usualBasis="measured"
          wide={{
            value: 0.45,
            distribution: { kind: 'rectangular', half: 0.45 },
            basis: 'not known whether hollow',
            brings: 'Weighing it tells: a solid ball has the mass its material says.',
          }}
        />
        <div className="button-row">
          {ball.hollow && (
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={() => inBall((held) => delete held.hollow, 'the ball is solid')}
            >
              It is solid
            </button>
          )}
          {runsWithBall(record, ball.id) === 0 && (
            <button
              type="button"
              className="button"
              disabled={readOnly}
              onClick={() => commit(`remove ball ${ball.name}`, (draft) => removeBall(draft, ball.id))}
            >
              Remove this ball
            </button>
          )}
        </div>
      </details>
    </>
  )
}

function massOf(ball: Ball): string {
  if (ball.mass_kg) return `${showPlain(1000 * ball.mass_kg.value, 3)} g, weighed`
  if (!ball.density_kg_m3) return 'mass not known'
  const body = { radius_m: ball.diameter_m.value / 2, ...(ball.hollow ? { hollow: ball.hollow.value } : {}) }
  return `${showPlain(1000 * massFromDensity_kg(body, ball.density_kg_m3.value), 3)} g by its density`
}
