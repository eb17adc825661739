import { useMemo } from 'react'
import { rateReport } from '../../../workers/measure/rate-report.ts'
import type { Clip, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { idleTool } from '../../picture/overlay.ts'
import { viewOverlay } from '../../picture/view-overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { Plot } from '../../plots/plot.tsx'
import { commit, useRecord, useRecordState } from '../../record/store.ts'
import { EmptyStation } from '../empty-station.tsx'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { fallFigure } from './fall-figure.ts'
import { lampFigure } from './lamp-figure.ts'
import { MeasuredInClip, useClockChoice } from './measured-in-clip.tsx'
import { RatePieces } from './rate-pieces.tsx'
import { offeredRates } from './rate-advice.ts'
import { rateFault } from './sentences.ts'
import { ShutterSheet } from './shutter-sheet.tsx'
import { speaksAgainst } from './speaks-against.ts'
import { takeFileTime, takeRate, takeTag } from './take-rate.ts'
import { clockHalf, driftOf, rateOf, setDrift, setRate, setSpacing, spacingOf } from './time-edits.ts'
import { useFallTool } from './use-fall-tool.ts'
import { useLampBox } from './use-lamp-box.ts'
import { WhatItDoes } from './what-it-does.tsx'
import './time.css'

export function TimePage() {
  const record = useRecord((r) => r)
  const { clip } = useCurrentClip()
  const view = clip ? record.views[clip.viewId] : undefined
  const [kind, onKind] = useClockChoice(view)
  const box = useLampBox(clip, kind === 'lamp' || kind === 'mains')
  const fall = useFallTool(clip, view, kind === 'free-fall')
  const quiet = useMemo(() => (clip ? viewOverlay(record, clip.viewId) : []), [record, clip])
  const tool = kind === 'free-fall' ? fall.tool : kind === 'lamp' || kind === 'mains' ? box.tool : idleTool
  const lamp = kind === 'lamp' || kind === 'mains' ? clip?.lamp : undefined
  const figure = useMemo(() => {
    if (!clip) return null
    if (lamp) return lampFigure(lamp, clip.name)
    return fall.fit?.kind === 'fall' ? fallFigure(fall.fit, clip.name) : null
  }, [clip, lamp, fall.fit])
  return (
    <Workplace
      items={[...quiet, ...box.items, ...fall.items]}
      tool={tool}
      under={figure && <Plot figure={figure} height={170} />}
    >
      {clip && view ? (
        <>
          <RateChoice clip={clip} view={view} />
          <MeasuredInClip clip={clip} view={view} kind={kind} onKind={onKind} box={box} fall={fall} />
          <Objections record={record} clip={clip} view={view} />
          <WhatItDoes clip={clip} />
          <RatePieces clip={clip} view={view} base_hz={baseRate(record, clip)} />
          <ShutterSheet clip={clip} view={view} />
          <AlsoFor record={record} view={view} />
        </>
      ) : (
        <EmptyStation needs="footage" />
      )}
    </Workplace>
  )
}

/** Rate that holds where no piece says otherwise: as chosen, or as the file plays. */
function baseRate(record: SlowlaneRecord, clip: Clip): number {
  const report = rateReport(record, clip.id)
  return report.kind === 'rate-report' ? 1 / report.secondsPerFrame : clip.fileRate_hz
}

function Objections({ record, clip, view }: { record: SlowlaneRecord; clip: Clip; view: View }) {
  const objections = useMemo(() => speaksAgainst(record, clip, view), [record, clip, view])
  return objections.map(({ text, run }) => (
    <p key={text} className="damage" role="status">
      {run && (
        <>
          <button type="button" className="link" onClick={() => showFrame(run.frame)}>
            Run on {run.name}
          </button>
          {': '}
        </>
      )}
      {text}
    </p>
  ))
}

function AlsoFor({ record, view }: { record: SlowlaneRecord; view: View }) {
  const clips = Object.values(record.clips).filter((c) => c.viewId === view.id)
  if (clips.length < 2) return null
  return (
    <p className="small quiet">
      Rate and shutter hold for all {clips.length} clips filmed from “{view.name}”; pieces belong to one clip each.
    </p>
  )
}

function RateChoice({ clip, view }: { clip: Clip; view: View }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const kind = view.timebase.kind
  return (
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
          check={rateFault}
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
    </section>
  )
}
