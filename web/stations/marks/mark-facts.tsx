import { doubtCodes, type Clip, type Run } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { markAt } from './mark-columns.ts'
import { scatter_m, type QuickLook } from './quick-look.ts'
import { doubtWords, originWords } from './run-edits.ts'

interface Props {
  readonly clip: Clip
  readonly run: Run
  readonly frame: number
  readonly look: QuickLook
}

/** The mark on the frame that is shown: where it is along the lane, how fast the ball is there by the trend. */
export function MarkFacts({ clip, run, frame, look }: Props) {
  const mark = markAt(run.marks, frame)
  const at = look.kind === 'look' ? look.samples.frame.indexOf(frame) : -1
  const t = look.kind === 'look' && at >= 0 ? look.samples.t_s[at]! : null
  const s = look.kind === 'look' && at >= 0 ? look.samples.s_m[at]! : null
  const trend = look.kind === 'look' ? look.trend : null
  const spread = look.kind === 'look' ? scatter_m(look) : null
  return (
    <section aria-labelledby="mark-head">
      <h2 id="mark-head">This mark</h2>
      {!mark ? (
        <p className="quiet">
          Frame {frame} carries no mark of this run.{' '}
          {run.marks.frame.length > 0 && (
            <button type="button" className="link" onClick={() => showFrame(run.marks.frame[0]!)}>
              To its first mark
            </button>
          )}
        </p>
      ) : (
        <dl className="facts">
          <div>
            <dt>frame</dt>
            <dd>
              {frame} of {clip.frames}
            </dd>
          </div>
          {t !== null && (
            <div>
              <dt>time</dt>
              <dd>{t.toFixed(4)} s</dd>
            </div>
          )}
          {s !== null && (
            <div>
              <dt>from start</dt>
              <dd>
                {(1000 * s).toFixed(2)} ± {showPlain(2000 * (look.kind === 'look' ? look.samples.sigma_m[at]! : 0), 2)}{' '}
                mm
              </dd>
            </div>
          )}
          {trend && t !== null && look.kind === 'look' && look.samples.t_s.length >= 4 && (
            <>
              <div>
                <dt>speed here, by the trend</dt>
                <dd>about {showPlain(Math.abs(trend.slopeAt(t)), 3)} m/s</dd>
              </div>
              <div>
                <dt>off the trend</dt>
                <dd>
                  {showPlain(1000 * (s! - trend.at(t)), 2)} mm
                  {spread !== null && <span className="quiet"> (others {showPlain(1000 * spread, 2)})</span>}
                </dd>
              </div>
            </>
          )}
          <div>
            <dt>placed</dt>
            <dd>{originWords[mark.origin]}</dd>
          </div>
          {mark.doubt > 0 && (
            <div>
              <dt>unsure</dt>
              <dd>{doubtWords[doubtCodes[mark.doubt] ?? 'misfit']}</dd>
            </div>
          )}
        </dl>
      )}
      {look.kind === 'no-look' && run.marks.frame.length > 0 && <p className="damage">{look.sentence}</p>}
    </section>
  )
}
