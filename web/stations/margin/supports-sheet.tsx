import type { Lane } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { TextField } from '../../parts/text-field.tsx'
import { newId } from '../../record/new-id.ts'
import { commit, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'

/** Where a lane rests, measured along it from its start by tape (common practice, no source). */
const byTape = { kind: 'rectangular', half: 0.002 } as const
const tapeBasis = 'tape along the lane'

/** The supports of a lane, from the upper end down. */
export function SupportsSheet({ lane, length_m }: { readonly lane: Lane; readonly length_m: number }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const sorted = [...lane.supports].sort((a, b) => a.at_m.value - b.at_m.value)
  return (
    <details open={lane.supports.length < 2}>
      <summary>
        Where the lane rests: {lane.supports.length === 0 ? 'not entered' : `${lane.supports.length} supports`}
      </summary>
      {sorted.map((support) => (
        <div key={support.id} className="support">
          <TextField
            label="support"
            value={support.name}
            readOnly={readOnly}
            onChange={(name) =>
              commit('name a support', (draft) => {
                const held = draft.lanes[lane.id]?.supports.find(({ id }) => id === support.id)
                if (held && name !== '') held.name = name
              })
            }
          />
          <StatedEditor
            label="from the lane’s start"
            unit={units.mm}
            stated={support.at_m}
            about={{ name: `place of ${support.name}, lane ${lane.key}`, unit: 'm' }}
            usual={byTape}
            usualBasis={tapeBasis}
            put={(draft, stated) => {
              const held = draft.lanes[lane.id]?.supports.find(({ id }) => id === support.id)
              if (held) held.at_m = stated
            }}
          />
          {!readOnly && (
            <button
              type="button"
              className="link"
              onClick={() =>
                commit('take away a support', (draft) => {
                  const held = draft.lanes[lane.id]
                  if (held) held.supports = held.supports.filter(({ id }) => id !== support.id)
                  dropUnusedSources(draft)
                })
              }
            >
              Take away<span className="only-read-aloud"> {support.name}</span>
            </button>
          )}
        </div>
      ))}
      {!readOnly && (
        <button type="button" className="button" onClick={() => addSupport(lane, length_m)}>
          {lane.supports.length === 0 ? 'Enter two supports' : 'Add a support'}
        </button>
      )}
    </details>
  )
}

/** The first two begin at a tenth from either end, to be corrected; a further one in the middle. */
function addSupport(lane: Lane, length_m: number): void {
  const wanted =
    lane.supports.length === 0
      ? [
          { name: 'upper support', share: 0.1 },
          { name: 'lower support', share: 0.9 },
        ]
      : [{ name: `support ${lane.supports.length + 1}`, share: 0.5 }]
  commit(lane.supports.length === 0 ? 'enter supports' : 'add a support', (draft) => {
    for (const { name, share } of wanted) {
      const value = Number((share * length_m).toFixed(3))
      const entry = { value, distribution: byTape, basis: tapeBasis, unknown: false }
      const at_m = writeStated(draft, undefined, entry, { name: `place of ${name}, lane ${lane.key}`, unit: 'm' })
      draft.lanes[lane.id]?.supports.push({ id: newId('support-'), name, at_m })
    }
  })
}
