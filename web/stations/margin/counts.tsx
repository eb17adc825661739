import { useState } from 'react'
import {
  chanceSentence,
  contradictionSentence,
  leaningSentence,
  proofSentence,
} from '../../../workers/decide/margin-sentences.ts'
import { planOfTests, type LaneMargin } from '../../../workers/decide/margin.ts'
import type { Trial } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { units } from '../../format/units.ts'
import { Field } from '../../parts/field.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { addPassages, addStartAngles, parseAngles, passagesFault, type CountPlace } from './count-edits.ts'
import { slopeFigure, slopeUnit } from './slope-text.ts'

/** What was counted by hand: entered, kept, and what it proves. */
export function Counts({ margin, place }: { readonly margin: LaneMargin; readonly place: CountPlace }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const { proof, movingChance, restChance, counts, reliability } = margin
  const leaning = leaningSentence(margin)
  const contradiction = contradictionSentence(margin)
  return (
    <section aria-label="Counted by hand">
      <h3>Counted by hand</h3>
      {proof && <p>{proofSentence(proof)}</p>}
      {contradiction && <p className="caution">{contradiction}</p>}
      {movingChance && <p>{chanceSentence(movingChance, 'moving')}</p>}
      {restChance && <p>{chanceSentence(restChance, 'from-rest')}</p>}
      {leaning && <p className="caution">{leaning}</p>}
      {counts.trials.length > 0 && (
        <ul className="count-list">
          {counts.trials.map((trial) => (
            <CountLine key={trial.id} trial={trial} readOnly={readOnly} />
          ))}
        </ul>
      )}
      {!readOnly && (
        <>
          <PassagesEntry place={place} />
          <AnglesEntry place={place} />
        </>
      )}
      <details>
        <summary>How many passages would prove it?</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">a stall in fewer than</th>
              <th scope="col" className="number">
                passages without one ({showPlain(reliability.confidence * 100)} % confidence)
              </th>
            </tr>
          </thead>
          <tbody>
            {planOfTests(reliability.confidence).map(({ oneIn, passages }) => (
              <tr key={oneIn}>
                <td>one in {oneIn}</td>
                <td className="number">{passages}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </section>
  )
}

function CountLine({ trial, readOnly }: { readonly trial: Trial; readonly readOnly: boolean }) {
  const record = useRecord((r) => r)
  const says =
    trial.kind === 'passages'
      ? `${trial.passages} passages, ${trial.stalls} stalled`
      : `starts at ${trial.angles_rad.map((angle) => slopeFigure(record, angle)).join('; ')} ${slopeUnit(record)}`
  return (
    <li>
      {says}
      {!readOnly && (
        <>
          {' '}
          <button
            type="button"
            className="link"
            aria-label={`Take away: ${says}`}
            onClick={() =>
              commit('take away a count', (draft) => {
                delete draft.trials[trial.id]
              })
            }
          >
            Take away
          </button>
        </>
      )}
    </li>
  )
}

function PassagesEntry({ place }: { readonly place: CountPlace }) {
  const [passages, setPassages] = useState<number | null>(null)
  const [stalls, setStalls] = useState<number | null>(0)
  const [fault, setFault] = useState<string>()
  return (
    <form
      className="entry-row"
      onSubmit={(event) => {
        event.preventDefault()
        const wrong = passagesFault(passages, stalls)
        setFault(wrong)
        if (wrong !== undefined || passages === null || stalls === null) return
        commit('enter counted passages', (draft) =>
          addPassages(draft, place, passages, stalls, new Date().toISOString()),
        )
        setPassages(null)
        setStalls(0)
      }}
    >
      <NumberField
        label="passages"
        unit={units.one}
        value={passages}
        onChange={setPassages}
        onClear={() => setPassages(null)}
      />
      <NumberField
        label="of these stalled"
        unit={units.one}
        value={stalls}
        onChange={setStalls}
        onClear={() => setStalls(0)}
      />
      <button type="submit" className="button">
        Keep
      </button>
      {fault !== undefined && (
        <p className="field-fault" role="alert">
          {fault}
        </p>
      )}
    </form>
  )
}

function AnglesEntry({ place }: { readonly place: CountPlace }) {
  const record = useRecord((r) => r)
  const [typed, setTyped] = useState('')
  const [fault, setFault] = useState<string>()
  return (
    <form
      className="entry-row wide"
      onSubmit={(event) => {
        event.preventDefault()
        const parsed = parseAngles(typed, record.settings.slopeUnit)
        setFault(parsed.kind === 'fault' ? parsed.fault : undefined)
        if (parsed.kind === 'fault') return
        commit('enter start angles', (draft) =>
          addStartAngles(draft, place, parsed.angles_rad, new Date().toISOString()),
        )
        setTyped('')
      }}
    >
      <Field
        label={`angles at which a ball starts by itself, ${slopeUnit(record)}`}
        hint="Tilt the lane slowly until it goes; ten spots or ten balls, parted by blanks."
        fault={fault}
      >
        {(ids) => (
          <input
            {...ids}
            type="text"
            autoComplete="off"
            inputMode="text"
            value={typed}
            placeholder="0.72 0.80 0.69"
            onChange={(event) => setTyped(event.target.value)}
          />
        )}
      </Field>
      <button type="submit" className="button">
        Keep
      </button>
    </form>
  )
}
