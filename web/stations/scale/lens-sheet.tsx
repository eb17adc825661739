import { useMemo, useState, type MouseEvent } from 'react'
import { frameOf } from '../../../workers/measure/lens.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import { fitStraightEdges } from '../../../workers/measure/straight-edges.ts'
import type { View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { PlusMinusField } from '../../parts/plus-minus-field.tsx'
import { entryOf } from '../stated/stated-edits.ts'
import { forgetLens, removeEdge, typeCurvature } from './lens-edits.ts'
import type { Placing } from './placing.ts'

interface Props {
  readonly view: View
  readonly onPlacing: (placing: Placing) => void
  /** What became of the last edge that was placed. */
  readonly says: string | null
}

/** How much the lens bends what is straight: from edges marked in the picture, or typed. */
export function LensSheet({ view, onPlacing, says }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const [typing, setTyping] = useState(false)
  const { lens } = view
  const begin = (event: MouseEvent) => {
    onPlacing({ what: 'edge', planeId: null, points: [] })
    beginPlacing(event)
  }
  const typed = lens?.kind === 'typed' || (typing && lens?.kind !== 'edges')
  return (
    <details open={lens !== undefined}>
      <summary>
        <h2>Lens</h2>
      </summary>
      <p className="small quiet">
        A wide lens bends straight things, most near the picture’s border. Mark things that are straight in the scene,
        such as a shelf’s edge, as long and as near the border as can be: three points or more along each.
      </p>
      {lens?.kind === 'edges' && <Edges view={view} edges={lens.edges} />}
      {says && (
        <p className="small" aria-live="polite">
          {says}
        </p>
      )}
      {typed && <Typed view={view} />}
      {!lens && !typing && (
        <p className="small">
          Not looked at: a curvature of ± 0.3 % at the picture’s corner is counted, as phones leave in their main
          camera’s video.
        </p>
      )}
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly} onClick={begin}>
          {lens?.kind === 'edges' ? 'Mark another edge' : 'Mark a straight edge'}
        </button>
        {!typed && lens?.kind !== 'edges' && (
          <button type="button" className="button plain" disabled={readOnly} onClick={() => setTyping(true)}>
            type it
          </button>
        )}
        {lens && (
          <button
            type="button"
            className="button plain"
            disabled={readOnly}
            onClick={() => {
              setTyping(false)
              commit('forget the lens', (draft) => forgetLens(draft, view.id))
            }}
          >
            forget it
          </button>
        )}
      </div>
    </details>
  )
}

function Edges({ view, edges }: { view: View; edges: readonly (readonly { x: number; y: number }[])[] }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const placing_px = useRecord((r) => r.settings.placing_px)
  const fit = useMemo(() => fitStraightEdges(edges, frameOf(view), placing_px), [edges, view, placing_px])
  return (
    <>
      {fit.kind !== 'edges' ? (
        <p className="damage">{sentenceFor(fit)}</p>
      ) : (
        <dl className="facts">
          <div>
            <dt>
              curvature k<sub>1</sub>
            </dt>
            <dd>{showValue(fit.k1, 2 * fit.u).text}</dd>
          </div>
          <div>
            <dt>a corner is shown</dt>
            <dd>
              {showPlain(Math.abs(100 * fit.k1), 2)} % too {fit.k1 < 0 ? 'near the middle' : 'far out'}
            </dd>
          </div>
          <div>
            <dt>straight again to within</dt>
            <dd>{showPlain(fit.rms_px, 2)} px</dd>
          </div>
        </dl>
      )}
      <ul className="plain-list">
        {edges.map((edge, i) => (
          <li key={i}>
            edge {i + 1}: {edge.length} points over{' '}
            {Math.round(Math.hypot(edge.at(-1)!.x - edge[0]!.x, edge.at(-1)!.y - edge[0]!.y))} px
            <button
              type="button"
              className="button plain small-button"
              disabled={readOnly}
              aria-label={`Remove edge ${i + 1}`}
              onClick={() =>
                commit('remove a straight edge', (draft) => {
                  const held = draft.views[view.id]
                  if (held) removeEdge(held, i)
                })
              }
            >
              remove
            </button>
          </li>
        ))}
      </ul>
    </>
  )
}

function Typed({ view }: { view: View }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const k1 = view.lens?.kind === 'typed' ? view.lens.k1 : undefined
  return (
    <PlusMinusField
      label="Curvature k₁, at the corner of the picture"
      unit={units.percent}
      figures={entryOf(record, k1)}
      readOnly={readOnly}
      onChange={(entry) => commit('type the lens curvature', (draft) => typeCurvature(draft, view.id, entry))}
      check={(value) =>
        Math.abs(value) <= 0.4
          ? undefined
          : `${showPlain(100 * value, 3)} % is more than any lens here bends. Type − 40 … 40.`
      }
      usual={{ kind: 'normal', u: 0.005 }}
      usualBasis="measured with this camera before"
      hint="Less than 0 where straight things bulge outward (barrel)."
    />
  )
}
