import type { Lane } from '../../../workers/record/index.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources } from '../stated/stated-edits.ts'
import { CrossSectionSheet } from './cross-section.tsx'
import { guideKinds, guideSizes, newGuide, sizeFault, sizeOf, withSize } from './guide-kinds.ts'
import { nextRun, useChosen } from './next-run.ts'

/** The cross-section that carries the ball, its dimensions ±, and the live drawing. */
export function GuideSheet({ lane }: { lane: Lane }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const chosen = useChosen()
  const { ballId } = nextRun(record, lane.id, chosen)
  const ball = ballId === null ? undefined : record.balls[ballId]
  return (
    <section aria-labelledby="guide-head" className="guide-sheet">
      <h2 id="guide-head">Guide</h2>
      <div>
        <SelectField
          label="Cross-section"
          value={lane.guide.kind}
          choices={guideKinds}
          disabled={readOnly}
          onChange={(kind) =>
            commit(`guide of lane ${lane.key}`, (draft) => {
              const held = draft.lanes[lane.id]
              if (!held || held.guide.kind === kind) return
              held.guide = newGuide(draft, kind)
              dropUnusedSources(draft)
            })
          }
        />
        {guideSizes[lane.guide.kind].map((size) => {
          const stated = sizeOf(lane.guide, size.key)
          const field = (
            <StatedEditor
              key={size.key}
              label={size.label}
              unit={size.unit}
              stated={stated}
              about={{ name: size.name, unit: size.quantity }}
              put={(draft, next) => {
                const held = draft.lanes[lane.id]
                if (held) withSize(held.guide, size.key, next)
              }}
              check={(value) => sizeFault(size, value)}
              usual={{ kind: 'rectangular', half: size.usualHalf }}
              usualBasis={size.usualBasis}
              {...(size.optional
                ? {}
                : { wide: { ...size.wide, distribution: size.wide.distribution, brings: size.brings } })}
              mayShare
            />
          )
          return size.optional && !stated ? (
            <details key={size.key}>
              <summary className="small quiet">{size.label}, if the ball might touch the bottom or the mouth</summary>
              {field}
            </details>
          ) : (
            field
          )
        })}
      </div>
      {ball ? (
        <CrossSectionSheet guide={lane.guide} ball={ball} />
      ) : (
        <p className="quiet">Choose a ball to see it in its guide.</p>
      )}
    </section>
  )
}
