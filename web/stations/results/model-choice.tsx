import type { SeriesResult } from '../../../workers/fit/results.ts'
import { standingSentence } from '../../../workers/fit/sentences.ts'
import { motionModels } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { commit, useRecord } from '../../record/store.ts'

type Wanted = (typeof motionModels)[number]

const names: Readonly<Record<Wanted | 'local', string>> = {
  auto: 'as the marks ask for',
  'constant-velocity': 'constant speed',
  'constant-acceleration': 'constant acceleration',
  'dry-and-viscous': 'dry and speed-proportional',
  'terminal-speed': 'approach to a final speed',
  'known-drag': 'constant, air drag known',
  local: 'piece by piece',
}

/** How the motion is described; the person may overrule, and sees how the others stand. */
export function ModelChoice({ series, rowKey }: { readonly series: SeriesResult; readonly rowKey: string }) {
  const wanted = useRecord((record) => record.settings.models[rowKey] ?? 'auto')
  const { model } = series
  return (
    <section aria-label="Model of the motion">
      <SelectField
        label="model of the motion"
        value={wanted}
        choices={motionModels.map((value) => ({ value, label: names[value] }))}
        onChange={(value) =>
          commit('choose the model of the motion', (draft) => {
            if (value === 'auto') delete draft.settings.models[rowKey]
            else draft.settings.models[rowKey] = value
          })
        }
      />
      <table className="ways">
        <caption>how each stands (smaller criterion is better)</caption>
        <tbody>
          {model.candidates.map((candidate) => (
            <tr key={candidate.model}>
              <th scope="row">{names[candidate.model]}</th>
              <td className="number">{candidate.aicc === null ? '' : showPlain(candidate.aicc, 5)}</td>
              <td>{standingSentence(candidate)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {model.speedPart && (
        <p>
          Resistance grows with speed: deceleration{' '}
          <ValueU value={model.speedPart.rate.value} U={model.speedPart.rate.U} unit={units.per_s} withUnit /> of the
          speed
          {model.speedPart.terminal_m_s !== null && `; it tends to ${showPlain(model.speedPart.terminal_m_s, 3)} m/s`}.
        </p>
      )}
      {model.withoutAir && (
        <p>
          Without the air: C<sub>rr</sub>{' '}
          <ValueU value={model.withoutAir.crr.value} U={model.withoutAir.crr.U} unit={units.one} />.
        </p>
      )}
    </section>
  )
}
