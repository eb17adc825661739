import { useMemo, type MouseEvent } from 'react'
import { lensOf } from '../../../workers/measure/lens.ts'
import { planeMapOf, uprightsOf } from '../../../workers/measure/plane-map.ts'
import { noDeviations, type View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { removeGravityLine } from './gravity-edits.ts'
import type { Placing } from './placing.ts'

interface Props {
  readonly view: View
  readonly onPlacing: (placing: Placing) => void
  /** What became of the last line that was placed or moved. */
  readonly says: string | null
}

/** Strings and level edges: which way gravity points, from which a lane's slope can be read in the picture. */
export function GravitySheet({ view, onPlacing, says }: Props) {
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
        picture. The line settles on the string in sub-pixels: 400 pixels of it then tell its direction to some ±{' '}
        {showPlain((2 * Math.SQRT2 * 0.07 * 180) / (400 * Math.PI), 1)}°; placed by hand to ±{' '}
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
                  {showPlain(long, 3)} px, {line.u_px === undefined ? 'as placed' : 'settled'}: ±{' '}
                  {showPlain(2 * u_deg, 2)}°{' '}
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
      {says && (
        <p className="small" aria-live="polite">
          {says}
        </p>
      )}
      <PitchNote view={view} />
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

/** A string leans in the picture when the camera looks down: what takes that out here, or what would. */
function PitchNote({ view }: { view: View }) {
  const record = useRecord((r) => r)
  const says = useMemo(() => {
    if (view.gravity.length === 0) return null
    const lens = lensOf(record, view, noDeviations)
    if (lens.kind !== 'lens') return null
    const planes = Object.values(view.planes)
    if (planes.some((plane) => plane.kind !== 'bars')) return null
    const strings = uprightsOf(record, view, null, lens, noDeviations).filter((line) => !line.level)
    if (strings.length < 2)
      return 'A camera that looks down sees a true vertical lean, away from the middle of the picture: 1.4° at 8°. With bars alone that goes into the ± of the slope; a second string far to the side of this one, or a rectangle, takes it out.'
    const map = planes[0] && planeMapOf(record, view, planes[0].id, noDeviations)
    if (map?.kind !== 'plane' || !map.stand) return null
    return `The strings lean against each other as before a camera that looks down by ${showPlain((map.stand.pitch_rad * 180) / Math.PI, 2)}°.`
  }, [record, view])
  return says && <p className="small">{says}</p>
}
