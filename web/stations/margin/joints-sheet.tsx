import { jointEffect } from '../../../workers/decide/joints.ts'
import type { LaneSetting } from '../../../workers/decide/lane-setting.ts'
import { jointSentence } from '../../../workers/decide/margin-sentences.ts'
import { units } from '../../format/units.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { useRecord, useRecordState } from '../../record/store.ts'
import { useKept } from './kept-numbers.ts'

/** What a gap or a step at a joint does to a ball. */
export function JointsSheet({ setting }: { readonly setting: LaneSetting }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const { laneId } = setting.result
  const sizes = { gap: useKept('gap_m', laneId), step: useKept('step_m', laneId) } as const
  return (
    <section aria-label="Joints">
      <h3>Joints</h3>
      <form className="entry-row" onSubmit={(event) => event.preventDefault()}>
        {(['gap', 'step'] as const).map((kind) => (
          <NumberField
            key={kind}
            label={kind === 'gap' ? 'widest gap' : 'highest step up'}
            unit={units.mm}
            value={sizes[kind].value}
            readOnly={readOnly}
            check={(value) =>
              value >= 0 ? undefined : 'A gap or step has a size of 0 or more. A step down counts as none.'
            }
            onChange={sizes[kind].keep}
            onClear={() => sizes[kind].keep(null)}
          />
        ))}
      </form>
      {(['gap', 'step'] as const).map((kind) => {
        const size_m = sizes[kind].value
        return size_m === null || size_m === 0 ? null : (
          <p key={kind}>{jointSentence(jointEffect(record, setting, { kind, size_m }), kind)}</p>
        )
      })}
      {sizes.gap.value === null && sizes.step.value === null && (
        <p className="quiet">Most balls that stall do so at a joint, from rest. Measure the widest and the highest.</p>
      )}
    </section>
  )
}
