import type { Draft } from 'immer'
import type { Distribution, SlowlaneRecord, Stated } from '../../../workers/record/index.ts'
import type { DisplayUnit } from '../../format/units.ts'
import { PlusMinusField } from '../../parts/plus-minus-field.tsx'
import { SelectField } from '../../parts/select-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { entryOf, shareSource, sourceUses, writeStated, type SourceUnit, type StatedEntry } from './stated-edits.ts'

interface Props {
  readonly label: string
  readonly unit: DisplayUnit
  /** The statement as recorded; undefined while nothing was said. */
  readonly stated: Stated | undefined
  /** Name and unit of a source made for it. */
  readonly about: { readonly name: string; readonly unit: SourceUnit }
  /** Puts the statement where it belongs; also gives the place back for sharing. */
  readonly put: (draft: Draft<SlowlaneRecord>, stated: Draft<Stated>) => void
  readonly check?: (value: number) => string | undefined
  readonly usual: Distribution
  readonly usualBasis: string
  readonly wide?: {
    readonly value: number
    readonly distribution: Distribution
    readonly basis: string
    readonly brings: string
  }
  readonly hint?: string
  /** Offers to share the ± of another statement of the same kind. */
  readonly mayShare?: boolean
}

/** A stated value of the record in its field: one change, one undo. */
export function StatedEditor({ stated, about, put, mayShare = false, ...field }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const own = stated?.sources[0]
  const write = (entry: StatedEntry) =>
    commit(`state ${about.name}`, (draft) => put(draft, writeStated(draft, stated, entry, about)))
  const others = mayShare && stated ? shareable(record, about.unit, own) : []
  return (
    <div className="stated">
      <PlusMinusField {...field} figures={entryOf(record, stated)} onChange={write} readOnly={readOnly} />
      {others.length > 0 && stated && (
        <div className="share">
          <SelectField
            label={`${field.label}: its ± is`}
            labelHidden
            value="own"
            choices={[
              { value: 'own', label: sharedWith(record, own) },
              ...others.map((s) => ({ value: s.id, label: `the same as: ${s.name}` })),
            ]}
            onChange={(id) => {
              if (id === 'own') return
              commit(`share ± of ${about.name}`, (draft) => {
                const again = { value: stated.value, sources: [...stated.sources] }
                shareSource(again, id)
                put(draft, again)
              })
            }}
          />
        </div>
      )}
    </div>
  )
}

function shareable(record: SlowlaneRecord, unit: SourceUnit, own: string | undefined) {
  const uses = sourceUses(record)
  return Object.values(record.sources).filter(
    (source) => source.unit === unit && source.id !== own && !source.relative && !source.unknown && uses.has(source.id),
  )
}

function sharedWith(record: SlowlaneRecord, own: string | undefined): string {
  const others = own === undefined ? 0 : (sourceUses(record).get(own) ?? 1) - 1
  return others > 0 ? `± shared with ${others} other ${others === 1 ? 'value' : 'values'}` : 'a ± of its own'
}
