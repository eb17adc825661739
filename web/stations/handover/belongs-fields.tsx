import type { Known, RunTarget } from '../../../workers/handover/index.ts'
import { units } from '../../format/units.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { useRecord } from '../../record/store.ts'
import type { ImportChoices } from './import-plan.ts'

interface Fields {
  readonly choices: ImportChoices
  readonly onChoices: (choices: ImportChoices) => void
}

/** What the table's runs belong to: runs of the record by their name, a clip, a lane with finish and ball; and how well its scale is known. */
export function BelongsFields({ known, choices, onChoices }: Fields & { readonly known: number }) {
  const record = useRecord((r) => r)
  const { where, when } = choices.columns
  const clips = Object.values(record.clips)
  const inPicture = where?.kind === 'picture'
  return (
    <>
      {known > 0 && inPicture && (
        <ChoiceRow
          label={`${known} ${known === 1 ? 'run bears' : 'runs bear'} the name of a run of this record`}
          value={choices.named}
          choices={[
            { value: 'replace', label: 'give those runs these marks' },
            { value: 'add', label: 'add new runs beside them' },
          ]}
          onChange={(named) => onChoices({ ...choices, named })}
        />
      )}
      <div className="import-fields">
        {inPicture && (
          <>
            <SelectField
              label="clip"
              value={choices.clipId}
              choices={clips.map(({ id, name }) => ({ value: id, label: name }))}
              prompt={clips.length === 0 ? 'no clip in this record' : 'Choose …'}
              onChange={(clipId) => onChoices({ ...choices, clipId })}
            />
            {when?.kind === 'frame' && (
              <SelectField
                label="first frame is number"
                value={String(choices.firstFrame)}
                choices={[
                  { value: '0', label: '0' },
                  { value: '1', label: '1' },
                ]}
                onChange={(first) => onChoices({ ...choices, firstFrame: first === '1' ? 1 : 0 })}
              />
            )}
          </>
        )}
        {choices.target && <TargetFields target={choices.target} choices={choices} onChoices={onChoices} />}
        {where?.kind === 'along' && <ScaleFields choices={choices} onChoices={onChoices} />}
      </div>
    </>
  )
}

function TargetFields({ target, choices, onChoices }: Fields & { readonly target: RunTarget }) {
  const record = useRecord((r) => r)
  const set = (change: Partial<RunTarget>) => onChoices({ ...choices, target: { ...target, ...change } })
  const mountings = Object.values(record.mountings)
  return (
    <>
      <SelectField
        label="lane"
        value={target.laneId}
        choices={Object.values(record.lanes).map(({ id, key, name }) => ({
          value: id,
          label: name === '' ? key : `${key} ${name}`,
          disabled: !mountings.some(({ laneId }) => laneId === id),
        }))}
        onChange={(laneId) => {
          const mounting = mountings.findLast((one) => one.laneId === laneId)
          if (mounting) set({ laneId, mountingId: mounting.id })
        }}
      />
      <SelectField
        label="mounting"
        value={target.mountingId}
        choices={mountings
          .filter(({ laneId }) => laneId === target.laneId)
          .map(({ id, name }, i) => ({ value: id, label: name || `mounting ${i + 1}` }))}
        onChange={(mountingId) => set({ mountingId })}
      />
      <SelectField
        label="finish"
        value={target.finishId}
        choices={Object.values(record.finishes).map(({ id, name }) => ({ value: id, label: name }))}
        onChange={(finishId) => set({ finishId })}
      />
      <SelectField
        label="ball"
        value={target.ballId}
        choices={Object.values(record.balls).map(({ id, name }) => ({ value: id, label: name }))}
        onChange={(ballId) => set({ ballId })}
      />
      <SelectField
        label="direction"
        value={target.direction}
        choices={[
          { value: 'down', label: 'down the lane' },
          { value: 'up', label: 'up the lane' },
          { value: 'level', label: 'on a level lane' },
        ]}
        onChange={(direction) => set({ direction })}
      />
    </>
  )
}

function ScaleFields({ choices, onChoices }: Fields) {
  return (
    <>
      {choices.columns.when?.kind === 'frame' && (
        <NumberField
          label="frames a second"
          value={choices.rate_hz}
          unit={units.Hz}
          check={(rate) => (rate > 0 ? undefined : 'A rate is above 0: how many frames were taken a second, say 240.')}
          onChange={(rate_hz) => onChoices({ ...choices, rate_hz })}
        />
      )}
      <NumberField
        label="position known to, standard"
        value={choices.sigma_m}
        unit={units.mm}
        check={(sigma) => (sigma > 0 ? undefined : 'A standard uncertainty is above 0, say 0.5 mm.')}
        onChange={(sigma_m) => onChoices({ ...choices, sigma_m })}
      />
      <KnownField
        label="lengths within"
        known={choices.lengths}
        onChange={(lengths) => onChoices({ ...choices, lengths })}
      />
      <KnownField label="times within" known={choices.times} onChange={(times) => onChoices({ ...choices, times })} />
    </>
  )
}

/** A half width in percent; emptied: not known, and the results say what knowing it would bring. */
function KnownField({
  label,
  known,
  onChange,
}: {
  readonly label: string
  readonly known: Known
  readonly onChange: (known: Known) => void
}) {
  return (
    <NumberField
      label={`${label} ±`}
      hint={known.kind === 'unknown' ? 'Empty: not known, a wide ± is taken.' : undefined}
      value={known.kind === 'within' ? known.relative : known.kind === 'exact' ? 0 : null}
      unit={units.percent}
      check={(half) => (half >= 0 ? undefined : 'A half width is 0 (exact) or above, say 0.2 %.')}
      onChange={(half) => onChange(half === 0 ? { kind: 'exact' } : { kind: 'within', relative: half })}
      onClear={() => onChange({ kind: 'unknown' })}
    />
  )
}
