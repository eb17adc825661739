import { useState } from 'react'
import { speedOfWish, type GentleWish } from '../../../workers/decide/gentle-exit.ts'
import type { LaneSetting } from '../../../workers/decide/lane-setting.ts'
import { units } from '../../format/units.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'

type Kind = GentleWish['kind']

/** How gentle the exit is to be, and how sure one wants to be. The speed is what is kept; energy and height of fall are other ways to say it. */
export function Wishes({ setting }: { readonly setting: LaneSetting | null }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const [kind, setKind] = useState<Kind>('speed')
  const { gentleExit_m_s: speed, reliability } = record.settings
  const exact = speed === undefined ? null : inKind(kind, speed, setting)
  // A speed said as an energy has more digits than anybody wished for.
  const shown = exact === null || kind === 'speed' ? exact : Number(exact.toPrecision(4))
  const unit = kind === 'speed' ? units.m_s : kind === 'energy' ? units.mJ : units.mm
  const keep = (value: number) => {
    if (kind !== 'speed' && !setting) return
    const found = speedOfWish(wishOf(kind, value), setting ?? { k: 1, mass_kg: null, g_m_s2: 9.80665 })
    if (found.kind === 'speed')
      commit('set how gentle the exit is to be', ({ settings }) => {
        settings.gentleExit_m_s = found.speed_m_s
      })
  }
  const share = (key: 'share' | 'confidence', value: number) =>
    commit('set how sure', ({ settings }) => {
      settings.reliability[key] = value
    })
  return (
    <form className="question" onSubmit={(event) => event.preventDefault()}>
      <ChoiceRow
        label="Exit no faster than, said as"
        value={kind}
        choices={[
          { value: 'speed', label: 'speed' },
          { value: 'energy', label: 'energy', disabled: (setting?.mass_kg ?? null) === null },
          { value: 'drop', label: 'height of fall', disabled: setting === null },
        ]}
        onChange={setKind}
      />
      <NumberField
        label={kind === 'speed' ? 'at most' : kind === 'energy' ? 'at most, spin included' : 'as if fallen at most'}
        unit={unit}
        value={shown}
        readOnly={readOnly}
        check={(value) =>
          value > 0 ? undefined : 'Nothing leaves a lane at no speed. Enter more than 0, or empty the field.'
        }
        onChange={keep}
        onClear={() =>
          commit('drop the wish for a gentle exit', ({ settings }) => {
            delete settings.gentleExit_m_s
          })
        }
      />
      <NumberField
        label="holds for so many balls"
        unit={units.percent}
        value={reliability.share}
        readOnly={readOnly}
        check={between}
        onChange={(value) => share('share', value)}
      />
      <NumberField
        label="with confidence"
        unit={units.percent}
        value={reliability.confidence}
        readOnly={readOnly}
        check={between}
        onChange={(value) => share('confidence', value)}
      />
    </form>
  )
}

const between = (value: number): string | undefined =>
  value > 0.5 && value < 0.9999
    ? undefined
    : 'Between 50 % and 99.99 %: nobody can promise all balls, and half of them is no promise.'

function wishOf(kind: Kind, value: number): GentleWish {
  switch (kind) {
    case 'speed':
      return { kind, speed_m_s: value }
    case 'energy':
      return { kind, energy_J: value }
    case 'drop':
      return { kind, drop_m: value }
  }
}

function inKind(kind: Kind, speed: number, setting: LaneSetting | null): number | null {
  if (kind === 'speed') return speed
  if (!setting) return null
  if (kind === 'drop') return speed ** 2 / (2 * setting.g_m_s2)
  return setting.mass_kg === null ? null : (setting.k * setting.mass_kg * speed ** 2) / 2
}
