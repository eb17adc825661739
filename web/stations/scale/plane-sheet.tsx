import { useMemo, type MouseEvent } from 'react'
import type { Draft } from 'immer'
import { planeReport, type PlaneReport } from '../../../workers/measure/plane-report.ts'
import { sentenceForBar } from '../../../workers/measure/note-sentences.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import type { Plane, SlowlaneRecord, Stated, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { Flag } from '../../parts/flag.tsx'
import { TextField } from '../../parts/text-field.tsx'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { KnownPointRows } from './known-points.tsx'
import { removeBar, removeCheck, removePlane } from './plane-edits.ts'
import { lengthFault } from './sentences.ts'
import type { Placing } from './placing.ts'

interface Props {
  readonly view: View
  readonly plane: Plane
  readonly onPlacing: (placing: Placing) => void
  /** Settles all its corners or points on what is seen; absent while no picture is there. */
  readonly onSettle?: ((plane: Plane) => void) | undefined
  /** What became of the last settling of this plane. */
  readonly says?: string | undefined
  /** How many times larger than true the arrows at its points are drawn; null where there are none. */
  readonly arrowsTimes?: number | null
}

const ruleRead = { usual: { kind: 'rectangular', half: 0.0005 }, usualBasis: 'steel rule, read at both ends' } as const

/** One plane: its lengths ±, what it makes of them, and how well it agrees with itself. */
export function PlaneSheet({ view, plane, onPlacing, onSettle, says, arrowsTimes = null }: Props) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const report = useMemo(() => planeReport(record, view.id, plane.id), [record, view.id, plane.id])
  const inPlane = (draft: Draft<SlowlaneRecord>) => draft.views[view.id]?.planes[plane.id]
  const begin = (event: MouseEvent, what: 'bar' | 'check') => {
    onPlacing({ what, planeId: plane.id, points: [] })
    beginPlacing(event)
  }
  return (
    <section className="plane" aria-label={`Plane: ${plane.name}`}>
      <TextField
        label="Plane"
        value={plane.name}
        readOnly={readOnly}
        onChange={(name) =>
          name &&
          commit('name the plane', (draft) => {
            const held = inPlane(draft)
            if (held) held.name = name
          })
        }
      />
      {plane.kind === 'rectangle' && (
        <>
          <Length
            label="Width"
            name="width of the rectangle"
            stated={plane.width_m}
            put={(draft, stated) => {
              const held = inPlane(draft)
              if (held?.kind === 'rectangle') held.width_m = stated
            }}
          />
          <Length
            label="Height"
            name="height of the rectangle"
            stated={plane.height_m}
            put={(draft, stated) => {
              const held = inPlane(draft)
              if (held?.kind === 'rectangle') held.height_m = stated
            }}
          />
        </>
      )}
      {plane.kind === 'bars' &&
        plane.bars.map((bar, i) => (
          <div key={bar.id} className="bar-line">
            <Length
              label={plane.bars.length > 1 ? `Bar ${i + 1}` : 'Length of the bar'}
              name="length of the scale bar"
              stated={bar.length_m}
              put={(draft, stated) => {
                const held = inPlane(draft)
                const own = held?.kind === 'bars' ? held.bars.find((b) => b.id === bar.id) : undefined
                if (own) own.length_m = stated
              }}
            />
            {plane.bars.length > 1 && (
              <button
                type="button"
                className="button plain small-button"
                disabled={readOnly}
                aria-label={`Remove bar ${i + 1}`}
                onClick={() => commit('remove a scale bar', (draft) => removeBar(draft, view.id, plane.id, bar.id))}
              >
                remove
              </button>
            )}
          </div>
        ))}
      {plane.kind === 'points' && <KnownPointRows view={view} plane={plane} report={report} />}
      <StatedEditor
        label="The lanes are nearer to the camera than this by"
        unit={units.mm}
        stated={plane.nearer_m}
        about={{ name: 'lanes nearer than their scale', unit: 'm' }}
        put={(draft, stated) => {
          const held = inPlane(draft)
          if (held) held.nearer_m = stated
        }}
        usual={{ kind: 'rectangular', half: 0.002 }}
        usualBasis="measured with a rule"
        wide={{
          value: 0,
          distribution: { kind: 'rectangular', half: 0.02 },
          basis: 'a scale set up by eye',
          brings: 'Each 5 mm at a metre is 0.5 % of every length; measuring it to 2 mm nearly removes that.',
        }}
        hint="0 when bar or rectangle lie where the ball's centre runs; farther away: less than 0."
      />
      <Findings view={view} plane={plane} report={report} />
      {arrowsTimes !== null && (
        <p className="small quiet">
          Arrows at the points show where all together would have each, {showPlain(arrowsTimes, 3)} times enlarged.
        </p>
      )}
      {says && (
        <p className="small" aria-live="polite">
          {says}
        </p>
      )}
      <div className="button-row">
        {plane.kind === 'bars' && (
          <button type="button" className="button" disabled={readOnly} onClick={(event) => begin(event, 'bar')}>
            Another bar in this plane
          </button>
        )}
        {plane.kind !== 'bars' && onSettle && (
          <button type="button" className="button" disabled={readOnly} onClick={() => onSettle(plane)}>
            Settle its {plane.kind === 'rectangle' ? 'corners' : 'points'}
          </button>
        )}
        <button type="button" className="button" disabled={readOnly} onClick={(event) => begin(event, 'check')}>
          Check a length
        </button>
        <button
          type="button"
          className="button plain"
          disabled={readOnly}
          aria-label={`Remove the plane ${plane.name}`}
          onClick={() => commit(`remove plane ${plane.name}`, (draft) => removePlane(draft, view.id, plane.id))}
        >
          remove
        </button>
      </div>
    </section>
  )
}

interface LengthProps {
  readonly label: string
  readonly name: string
  readonly stated: Stated
  readonly put: (draft: Draft<SlowlaneRecord>, stated: Draft<Stated>) => void
}

function Length({ label, name, stated, put }: LengthProps) {
  return (
    <StatedEditor
      label={label}
      unit={units.mm}
      stated={stated}
      about={{ name, unit: 'm' }}
      put={put}
      check={lengthFault}
      mayShare
      {...ruleRead}
    />
  )
}

/** One pixel in mm, what is left over in mm, and the things that were measured to check. */
function Findings({ view, plane, report }: { view: View; plane: Plane; report: ReturnType<typeof planeReport> }) {
  const placing_px = useRecord((r) => r.settings.placing_px)
  if (report.kind !== 'plane-report') return <p className="damage">{sentenceFor(report)}</p>
  const { mPerPx, uRelative } = report.scale
  const worst = Math.max(0, ...report.arrows.map((arrow) => arrow.distance_m))
  const checks = plane.kind === 'bars' ? [] : (plane.checks ?? [])
  return (
    <dl className="facts">
      <div>
        <dt>one pixel is</dt>
        <dd>{showValue(1000 * mPerPx, 2000 * mPerPx * uRelative, 'mm').text}</dd>
      </div>
      <div>
        <dt>lengths are sure to</dt>
        <dd>± {showPlain(200 * uRelative, 2)} %</dd>
      </div>
      <div>
        <dt>its points are known to</dt>
        <dd>
          {plane.u_px === undefined ? 'as placed, ' : 'settled, '}± {showPlain(2 * (plane.u_px ?? placing_px), 2)} px
        </dd>
      </div>
      {report.arrows.length > 0 && (
        <div>
          <dt>largest misfit</dt>
          <dd>{showPlain(1000 * worst, 2)} mm</dd>
        </div>
      )}
      {report.map.stand && plane.kind === 'bars' && (
        <div>
          <dt>camera looks down by</dt>
          <dd>{showPlain((report.map.stand.pitch_rad * 180) / Math.PI, 3)}°</dd>
        </div>
      )}
      {report.checks.map((check) => (
        <BarCheckRow
          key={check.barId}
          view={view}
          plane={plane}
          check={check}
          removable={checks.some((c) => c.id === check.barId)}
        />
      ))}
    </dl>
  )
}

function BarCheckRow(props: { view: View; plane: Plane; check: PlaneReport['checks'][number]; removable: boolean }) {
  const { view, plane, check, removable } = props
  const off = showValue(1000 * (check.found_m - check.stated_m), 2000 * check.u_m, 'mm').text
  return (
    <div>
      <dt>
        {showPlain(1000 * check.stated_m, 5)} mm checked
        {removable && (
          <button
            type="button"
            className="button plain small-button"
            aria-label={`Remove the check of ${showPlain(1000 * check.stated_m, 5)} mm`}
            onClick={() => commit('remove a check', (draft) => removeCheck(draft, view.id, plane.id, check.barId))}
          >
            remove
          </button>
        )}
      </dt>
      <dd>
        {check.contradicts ? <Flag>off by {off}</Flag> : `off by ${off}`}
        {check.contradicts && <p className="damage">{sentenceForBar(check)}</p>}
      </dd>
    </div>
  )
}
