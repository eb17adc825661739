import { useMemo } from 'react'
import { rateReport } from '../../../workers/measure/rate-report.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import type { Clip, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { idleTool } from '../../picture/overlay.ts'
import { viewOverlay } from '../../picture/view-overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { TwoFrames } from './two-frames.tsx'
import { takeFileTime, takeRate, takeTag } from './take-rate.ts'
import { offeredRates, rateAdvice } from './rate-advice.ts'
import { clockHalf, driftOf, rateOf, setDrift, setRate, setSpacing, spacingOf } from './time-edits.ts'

export function TimePage() {
  const record = useRecord((r) => r)
  const { clip } = useCurrentClip()
  const view = clip ? record.views[clip.viewId] : undefined
  return (
    <Workplace items={clip ? viewOverlay(record, clip.viewId) : []} tool={idleTool}>
      {clip && view ? <TimeOf clip={clip} view={view} /> : <EmptyStation needs="footage" />}
    </Workplace>
  )
}

function TimeOf({ clip, view }: { clip: Clip; view: View }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const advice = rateAdvice(record, clip, view)
  const kind = view.timebase.kind
  const clips = Object.values(record.clips).filter((c) => c.viewId === view.id)
  return (
    <>
      <section aria-labelledby="time-head">
        <h2 id="time-head">How frames become seconds</h2>
        <div className="ways">
          <div className="button-row">
            {offeredRates(clip).map((rate) => (
              <button
                key={rate}
                type="button"
                className={rate === clip.filmingRateTag_hz && kind === 'unset' ? 'button main' : 'button'}
                aria-pressed={rateOf(view)?.value === rate}
                disabled={readOnly}
                onClick={() =>
                  rate === clip.filmingRateTag_hz
                    ? takeTag(view, rate)
                    : takeRate(view, rate, 'the camera’s setting; a quartz holds it to 0.1 %')
                }
              >
                Filmed at {showPlain(rate, 5)}
                {rate === clip.filmingRateTag_hz && ', says the file'}
              </button>
            ))}
            <button
              type="button"
              className="button"
              aria-pressed={kind === 'file'}
              disabled={readOnly}
              onClick={() => takeFileTime(view)}
            >
              The file’s own time
            </button>
          </div>
        </div>
        {(kind === 'unset' || kind === 'filmed-at') && (
          <StatedEditor
            label="Filmed at, frames per second"
            unit={{ ...units.one, name: 'frames per second' }}
            stated={rateOf(view)}
            about={{ name: 'filming rate', unit: 'Hz' }}
            put={(draft, stated) => {
              const held = draft.views[view.id]
              if (held) setRate(held, stated)
            }}
            check={(rate) =>
              rate > 0 && rate <= 1e6
                ? undefined
                : `${showPlain(rate)} frames per second cannot be. Type the rate the camera filmed at, for example 240.`
            }
            usual={{ kind: 'rectangular', half: clockHalf * (rateOf(view)?.value ?? clip.filmingRateTag_hz ?? 240) }}
            usualBasis="the camera’s setting; a quartz holds it to 0.1 %"
            hint="What the camera's own display or settings said while filming, not what the file plays at."
          />
        )}
        {kind === 'file' && (
          <StatedEditor
            label="The clock's error"
            unit={units.percent}
            stated={driftOf(view)}
            about={{ name: 'clock of the camera', unit: '1' }}
            put={(draft, stated) => {
              const held = draft.views[view.id]
              if (held) setDrift(held, stated)
            }}
            usual={{ kind: 'rectangular', half: clockHalf }}
            usualBasis="a camera’s quartz"
            hint="Real seconds lasted longer than the file's by this much; 0 unless you compared clocks."
          />
        )}
        {(kind === 'filmed-at' || kind === 'measured') && clip.interval.uneven > 0 && (
          <ChoiceRow
            label="Frames are spaced"
            value={spacingOf(view)}
            choices={[
              { value: 'timestamps', label: 'as the timestamps say' },
              { value: 'even', label: 'evenly, by their number' },
            ]}
            disabled={readOnly}
            onChange={(spacing) =>
              commit('spacing of the frames', (draft) => {
                const held = draft.views[view.id]
                if (held) setSpacing(held, spacing)
              })
            }
          />
        )}
        <TwoFrames key={view.id} clip={clip} view={view} />
        {advice && <p className={advice.tone === 'caution' ? 'damage' : 'quiet'}>{advice.text}</p>}
      </section>
      <WhatItDoes clip={clip} />
      {clips.length > 1 && (
        <p className="small quiet">
          Holds for all {clips.length} clips filmed from “{view.name}”.
        </p>
      )}
    </>
  )
}

/** Seconds per frame ±, and what the ± does to every speed and acceleration. */
function WhatItDoes({ clip }: { clip: Clip }) {
  const record = useRecord((r) => r)
  const report = useMemo(() => rateReport(record, clip.id), [record, clip.id])
  if (report.kind !== 'rate-report') {
    return report.kind === 'time-unset' ? (
      <p className="quiet">
        The file plays at {showPlain(clip.fileRate_hz, 5)} frames per second. A camera in slow motion films faster than
        the file plays; only you, or a tag in the file, know how fast.
      </p>
    ) : (
      <p className="damage">{sentenceFor(report)}</p>
    )
  }
  const U_s = 2 * report.u_s
  return (
    <section aria-labelledby="seconds-head">
      <h2 id="seconds-head">What that gives</h2>
      <dl className="facts">
        <div>
          <dt>one frame lasts</dt>
          <dd>{showValue(1000 * report.secondsPerFrame, 1000 * U_s, 'ms').text}</dd>
        </div>
        <div>
          <dt>the clip lasts</dt>
          <dd>{showPlain(report.secondsPerFrame * (clip.frames - 1), 4)} s</dd>
        </div>
        <div>
          <dt>speeds are sure to</dt>
          <dd>± {showPlain(2 * report.speedEffect_percent, 2)} %</dd>
        </div>
        <div>
          <dt>accelerations to</dt>
          <dd>± {showPlain(2 * report.accelerationEffect_percent, 2)} %</dd>
        </div>
      </dl>
      <p className="small quiet">± here covers 95 %, from the time alone.</p>
    </section>
  )
}
