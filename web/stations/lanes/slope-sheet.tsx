import { useState } from 'react'
import type { Draft } from 'immer'
import { sentenceForLevel } from '../../../workers/measure/note-sentences.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { slopeReport } from '../../../workers/measure/slope-report.ts'
import type { Lane, Mounting, SlowlaneRecord, Stated, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { addMounting } from './lane-edits.ts'
import { Stations } from './stations.tsx'
import {
  byRule,
  chooseWay,
  inclinometer,
  mountingsOf,
  parseSlope,
  statedSlope,
  typeSlope,
  wayOf,
  type SlopeWay,
} from './slope-edits.ts'

/** How steep the lane is, one mounting at a time. */
export function SlopeSheet({ lane, view }: { lane: Lane; view: View }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const mountings = mountingsOf(record, lane.id)
  const [chosen, setChosen] = useState<string | null>(null)
  const mounting = mountings.find((m) => m.id === chosen) ?? mountings.at(-1)
  const add = () => {
    let id = ''
    commit(`mount lane ${lane.key} anew`, (draft) => {
      id = addMounting(draft, lane.id)
    })
    setChosen(id)
  }
  return (
    <section aria-labelledby="slope-head">
      <h2 id="slope-head">Slope</h2>
      {mountings.length > 1 && mounting && (
        <SelectField
          label="Mounting"
          value={mounting.id}
          choices={mountings.map((m) => ({ value: m.id, label: m.name }))}
          onChange={setChosen}
        />
      )}
      {mounting && <MountingSheet key={mounting.id} mounting={mounting} view={view} />}
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly} onClick={add}>
          Mounted anew
        </button>
      </div>
      <p className="small quiet">
        Taking a lane off, to sand it, and fixing it again is another mounting: its slope is measured again.
      </p>
    </section>
  )
}

function MountingSheet({ mounting, view }: { mounting: Mounting; view: View }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const recorded = wayOf(mounting.slope)
  // “Typed” with nothing typed yet is not in the record: it is an unknown slope with its field open.
  const [typing, setTyping] = useState(recorded === 'unknown')
  const way: SlopeWay = recorded === 'unknown' && typing ? 'typed' : recorded
  const ways: { value: SlopeWay; label: string }[] = [
    { value: 'typed', label: 'typed' },
    { value: 'heights', label: 'heights of both ends' },
    { value: 'along', label: 'heights along it' },
    ...(view.gravity.length > 0 || recorded === 'from-picture'
      ? [{ value: 'from-picture' as const, label: 'from the plumb line' }]
      : []),
    { value: 'unknown', label: 'I don’t know' },
  ]
  return (
    <>
      <TextField
        label="This mounting"
        value={mounting.name}
        readOnly={readOnly}
        onChange={(name) =>
          commit('name the mounting', (draft) => {
            const held = draft.mountings[mounting.id]
            if (held) held.name = name
          })
        }
      />
      <ChoiceRow
        label="The slope is"
        value={way}
        choices={ways}
        disabled={readOnly}
        onChange={(to) => {
          setTyping(to === 'typed')
          commit('how the slope is known', (draft) => chooseWay(draft, mounting.id, to, view.id))
        }}
      />
      {way === 'typed' && <TypedSlopeFields mounting={mounting} />}
      {way === 'heights' && mounting.slope.kind === 'heights' && <Heights mounting={mounting} slope={mounting.slope} />}
      {way === 'along' && mounting.slope.kind === 'along' && <Stations mounting={mounting} slope={mounting.slope} />}
      {way === 'unknown' && (
        <p className="small quiet">
          Without a slope one direction gives speed and acceleration, but no resistance. Rolling the ball both ways over
          the same stretch finds slope and resistance from the motion itself.
        </p>
      )}
      <SlopeFound mounting={mounting} />
    </>
  )
}

function TypedSlopeFields({ mounting }: { mounting: Mounting }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const [fault, setFault] = useState<string>()
  const { slope } = mounting
  const enter = (text: string) => {
    const typed = parseSlope(text, record.settings.slopeUnit)
    if (typed.kind !== 'slope') return setFault(sentenceFor(typed))
    setFault(undefined)
    commit('type the slope', (draft) => typeSlope(draft, mounting.id, typed, text))
  }
  const stated = statedSlope(slope)
  return (
    <>
      <TextField
        label="Slope, downhill"
        value={mounting.entered ?? ''}
        hint="1.8°, 12 mm/m, 3 % or 15:800 (rise over run)"
        fault={fault}
        readOnly={readOnly}
        onChange={enter}
      />
      {stated && (
        <StatedEditor
          label="Taken as"
          unit={slope.kind === 'angle' ? units.deg : units.mm_per_m}
          stated={stated}
          about={{ name: 'slope of the lane', unit: slope.kind === 'angle' ? 'rad' : '1' }}
          put={(draft, next) => {
            const held = draft.mountings[mounting.id]
            if (held?.slope.kind === 'angle') held.slope.angle_rad = next
            if (held?.slope.kind === 'gradient') held.slope.gradient = next
            if (held && next.value !== stated.value) delete held.entered
          }}
          check={(value) => {
            const degrees = ((slope.kind === 'angle' ? value : Math.atan(value)) * 180) / Math.PI
            return Math.abs(degrees) <= 45 ? undefined : sentenceFor({ kind: 'slope-beyond-45', degrees })
          }}
          usual={{ kind: 'rectangular', half: slope.kind === 'angle' ? inclinometer.half : byRule.half }}
          usualBasis={slope.kind === 'angle' ? inclinometer.basis : byRule.basis}
          mayShare
        />
      )}
    </>
  )
}

type HeightsSlope = Extract<Mounting['slope'], { kind: 'heights' }>

function Heights({ mounting, slope }: { mounting: Mounting; slope: HeightsSlope }) {
  const put = (key: 'upper_m' | 'lower_m' | 'apart_m') => (draft: Draft<SlowlaneRecord>, stated: Draft<Stated>) => {
    const held = draft.mountings[mounting.id]
    if (held?.slope.kind === 'heights') held.slope[key] = stated
  }
  const rule = { usual: { kind: 'rectangular', half: 0.0002 }, usualBasis: 'height gauge or calliper' } as const
  return (
    <>
      <StatedEditor
        label="Height at the upper end"
        unit={units.mm}
        stated={slope.upper_m}
        about={{ name: 'height of the upper support', unit: 'm' }}
        put={put('upper_m')}
        mayShare
        {...rule}
      />
      <StatedEditor
        label="Height at the lower end"
        unit={units.mm}
        stated={slope.lower_m}
        about={{ name: 'height of the lower support', unit: 'm' }}
        put={put('lower_m')}
        mayShare
        {...rule}
      />
      <StatedEditor
        label="Apart, along the lane"
        unit={units.mm}
        stated={slope.apart_m}
        about={{ name: 'distance of the supports', unit: 'm' }}
        put={put('apart_m')}
        check={(apart) =>
          apart > 0
            ? undefined
            : `${showPlain(1000 * apart)} mm apart cannot be. Type the distance between the two places.`
        }
        usual={{ kind: 'rectangular', half: 0.001 }}
        usualBasis="tape measure"
        mayShare
      />
    </>
  )
}

/** From the gentlest to the steepest stretch. */
function stretches(along: { readonly slope_rad: Float64Array }): string {
  const degrees = Array.from(along.slope_rad, (slope) => (slope * 180) / Math.PI)
  return `Its ${degrees.length} stretches run from ${showPlain(Math.min(...degrees), 3)}° to ${showPlain(Math.max(...degrees), 3)}°.`
}

/** The slope with its ±, and what that is worth in resistance. */
function SlopeFound({ mounting }: { mounting: Mounting }) {
  const record = useRecord((r) => r)
  if (mounting.slope.kind === 'unknown') return null
  const report = slopeReport(record, mounting.id)
  if (report.kind !== 'slope-report') return <p className="damage">{sentenceFor(report)}</p>
  const { value, u } = report.whole
  const degree = Math.PI / 180
  const level = sentenceForLevel(report)
  return (
    <p aria-live="polite">
      <b>{showValue(value / degree, (2 * u) / degree, '').text}°</b>, {showPlain(1000 * Math.tan(value), 3)} mm per m.{' '}
      <span className="quiet">
        Its ± is worth {showPlain(2 * u, 2)} in C<sub>rr</sub>.{value < 0 && ' The line runs uphill: swap its ends.'}
      </span>
      {level && <span className="damage"> {level}</span>}
      {report.slope.along && <span className="small quiet"> {stretches(report.slope.along)}</span>}
    </p>
  )
}
