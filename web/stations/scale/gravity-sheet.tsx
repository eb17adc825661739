import type { MouseEvent } from 'react'
import type { View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { removeGravityLine } from './gravity-edits.ts'
import type { Placing } from './placing.ts'

interface Props {
  readonly view: View
  readonly onPlacing: (placing: Placing) => void
}

/** Strings and level edges: which way gravity points, from which a lane's slope can be read in the picture. */
export function GravitySheet({ view, onPlacing }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const placing_px = useRecord((r) => r.settings.placing_px)
  const planes = Object.keys(view.planes)
  const begin = (event: MouseEvent, what: 'plumb' | 'level') => {
    onPlacing({ what, planeId: planes[0] ?? null, points: [] })
    beginPlacing(event)
  }
  return (
    <details open={view.gravity.length > 0}>
      <summary>
        <h2>Plumb line</h2>
      </summary>
      <p className="small quiet">
        Two points on a hanging string, or on an edge known to be level, let the slope of every lane be read from the
        picture. 400 pixels of it tell the slope to ±{' '}
        {showPlain((2 * Math.SQRT2 * placing_px * 180) / (400 * Math.PI), 2)}°.
      </p>
      {view.gravity.length > 0 && (
        <dl className="facts">
          {view.gravity.map((line, i) => {
            const long = Math.hypot(line.b.x - line.a.x, line.b.y - line.a.y)
            const u_deg = (((Math.SQRT2 * (line.u_px ?? placing_px)) / long) * 180) / Math.PI
            const name = `${line.kind === 'plumb' ? 'string' : 'level edge'}${view.gravity.length > 1 ? ` ${i + 1}` : ''}`
            return (
              <div key={line.id}>
                <dt>{name}</dt>
                <dd>
                  {showPlain(long, 3)} px, points to ± {showPlain(2 * u_deg, 2)}°{' '}
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Remove the ${name}`}
                    onClick={() =>
                      commit(`remove the ${name}`, (draft) => {
                        const held = draft.views[view.id]
                        if (held) removeGravityLine(held, line.id)
                      })
                    }
                  >
                    remove
                  </button>
                </dd>
              </div>
            )
          })}
        </dl>
      )}
      <div className="button-row">
        <button type="button" className="button" disabled={readOnly} onClick={(event) => begin(event, 'plumb')}>
          Mark a string
        </button>
        <button
          type="button"
          className="button"
          disabled={readOnly || planes.length === 0}
          onClick={(event) => begin(event, 'level')}
        >
          Mark a level edge
        </button>
      </div>
    </details>
  )
}
