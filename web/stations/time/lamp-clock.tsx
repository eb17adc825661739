import { useMemo, useState } from 'react'
import type { Draft } from 'immer'
import { lampReading } from '../../../workers/measure/clip-clock.ts'
import { sentenceFor } from '../../../workers/measure/sentences.ts'
import type { Clip, Distribution, SlowlaneRecord, Stated, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { PlusMinusField, type StatedFigures } from '../../parts/plus-minus-field.tsx'
import { beginPlacing } from '../../picture/begin-placing.ts'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { commit, useRecordState } from '../../record/store.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'
import { dropUnusedSources, writeStated } from '../stated/stated-edits.ts'
import { expectedWait } from '../footage/expected-wait.ts'
import { MeasuredIn, MeasuredRateLine } from './measured-rate.tsx'
import { blinkFault, blinkSentence, foldedAdvice } from './sentences.ts'
import { clockOf, setClock, spacingOf } from './time-edits.ts'
import type { LampBox } from './use-lamp-box.ts'

/** A pulse generator or a controller with a quartz: 0.1 % with plenty to spare (common practice, no source). */
const quartzShare = 0.001
/** Most that a grid's frequency strays in normal running: 0.2 Hz of 50. Source: Commission Regulation (EU) 2017/1485, Annex III, table 1. */
const gridShare = 0.2 / 50

const lampUsual = (blink_hz: number): Distribution => ({ kind: 'rectangular', half: quartzShare * blink_hz })

interface Props {
  readonly clip: Clip
  readonly view: View
  readonly box: LampBox
}

/** The filming rate from a lamp that blinks at a known rate: a box is read over frames, its blinking found. */
export function LampClock({ clip, view, box }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const recorded = clockOf(view, 'lamp')
  const here = recorded?.clipId === clip.id ? recorded : null
  const about = { name: 'rate of the lamp', unit: 'Hz' } as const
  const asked = {
    label: 'The lamp blinks, times a second',
    unit: { ...units.one, name: 'times a second' },
    check: blinkFault,
    usualBasis: 'a generator with a quartz',
  }
  return (
    <>
      {recorded && !here && <MeasuredIn clipId={recorded.clipId} />}
      <p className="small quiet">
        A lamp in the picture, switched at a known rate, is the best clock there is: thirty cycles tell the rate to a
        tenth of a percent. {foldedAdvice}
      </p>
      <BoxReading clip={clip} view={view} box={box} />
      {clip.lamp &&
        (here ? (
          <StatedEditor
            {...asked}
            stated={here.blink_hz}
            about={about}
            usual={lampUsual(here.blink_hz.value)}
            put={(draft, blink_hz) => putClock(draft, view.id, { kind: 'lamp', clipId: clip.id, blink_hz })}
          />
        ) : (
          <PlusMinusField
            {...asked}
            figures={null}
            usual={lampUsual(1)}
            readOnly={readOnly}
            onChange={(entry) => {
              // What is usual is a share of the value, which is known only now.
              const plain = entry.basis === asked.usualBasis && isUsual(entry.distribution)
              const distribution = plain ? lampUsual(entry.value) : entry.distribution
              commit('measure the filming rate', (draft) => {
                const blink_hz = writeStated(draft, undefined, { ...entry, distribution }, about)
                putClock(draft, view.id, { kind: 'lamp', clipId: clip.id, blink_hz })
                dropUnusedSources(draft)
              })
            }}
          />
        ))}
      {here && <MeasuredRateLine view={view} />}
    </>
  )
}

const isUsual = (distribution: Distribution): boolean =>
  distribution.kind === 'rectangular' && distribution.half === quartzShare

/** The filming rate from the flicker of lamps on the mains: twice its frequency. */
export function MainsClock({ clip, view, box }: Props) {
  const readOnly = useRecordState((s) => s.readOnly)
  const recorded = clockOf(view, 'mains')
  const here = recorded?.clipId === clip.id ? recorded : null
  const about = { name: 'flicker of the light', unit: 'Hz' } as const
  const take = (flicker_hz: number) =>
    commit('measure the filming rate', (draft) => {
      const entry: StatedFigures = {
        value: flicker_hz,
        distribution: { kind: 'rectangular', half: gridShare * flicker_hz },
        basis: `mains of ${flicker_hz / 2} Hz, which strays by ${showPlain(100 * gridShare)} % at most`,
        unknown: false,
      }
      const stated = writeStated(draft, here?.flicker_hz, entry, about)
      putClock(draft, view.id, { kind: 'mains', clipId: clip.id, flicker_hz: stated })
      dropUnusedSources(draft)
    })
  return (
    <>
      {recorded && !here && <MeasuredIn clipId={recorded.clipId} />}
      <p className="small quiet">
        Lamps on the mains flicker 100 times a second (120 where the mains have 60 Hz): a clock for nothing, wherever it
        shows. It tells whole rates apart, such as 120 from 240, and holds them to half a percent.
      </p>
      <BoxReading clip={clip} view={view} box={box} whole />
      {clip.lamp && (
        <div className="button-row">
          {[100, 120].map((flicker_hz) => (
            <button
              key={flicker_hz}
              type="button"
              className="button"
              aria-pressed={here?.flicker_hz.value === flicker_hz}
              disabled={readOnly}
              onClick={() => take(flicker_hz)}
            >
              Mains of {flicker_hz / 2} Hz: {flicker_hz} flickers a second
            </button>
          ))}
        </div>
      )}
      {here && (
        <StatedEditor
          label="The light flickers, times a second"
          unit={{ ...units.one, name: 'times a second' }}
          stated={here.flicker_hz}
          about={about}
          put={(draft, flicker_hz) => putClock(draft, view.id, { kind: 'mains', clipId: clip.id, flicker_hz })}
          check={blinkFault}
          usual={{ kind: 'rectangular', half: gridShare * here.flicker_hz.value }}
          usualBasis="frequency of the grid"
        />
      )}
      {here && <MeasuredRateLine view={view} />}
    </>
  )
}

type Light = { kind: 'lamp'; clipId: string; blink_hz: Stated } | { kind: 'mains'; clipId: string; flicker_hz: Stated }

function putClock(draft: Draft<SlowlaneRecord>, viewId: string, clock: Draft<Light>): void {
  const held = draft.views[viewId]
  if (held) setClock(held, clock)
}

/** The box, the frames it is read on, and what was read. */
function BoxReading({ clip, view, box, whole = false }: Props & { whole?: boolean }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const { facts } = useCurrentClip()
  const [fault, setFault] = useState<string>()
  const { lamp } = clip
  const reading = useMemo(() => lampReading(clip, spacingOf(view)), [clip, view])
  const { first, last } = box.stretch
  const count = last - first + 1
  const wait = facts ? expectedWait(facts, count) : null
  const change = (to: { first: number; last: number }) => {
    if (!(to.first >= 0 && to.last < clip.frames && to.first < to.last))
      return setFault(
        `From frame ${to.first} to ${to.last} cannot be read: the clip has frames 0 to ${clip.frames - 1}.`,
      )
    setFault(undefined)
    box.setStretch(to)
    box.readAgain(to)
  }
  return (
    <>
      <div className="button-row">
        <button
          type="button"
          className={lamp ? 'button' : 'button main'}
          disabled={readOnly || !facts}
          onClick={(event) => {
            box.draw(true)
            beginPlacing(event)
          }}
        >
          {lamp ? 'Draw another box' : 'Draw a box around the light'}
        </button>
        {whole && (
          <button type="button" className="button" disabled={readOnly || !facts} onClick={box.readWhole}>
            The whole picture
          </button>
        )}
      </div>
      <div className="frame-span">
        <NumberField
          label="Read from frame"
          unit={units.one}
          value={first}
          readOnly={readOnly}
          onChange={(value) => change({ first: Math.round(value), last })}
        />
        <NumberField
          label="to frame"
          unit={units.one}
          value={last}
          readOnly={readOnly}
          onChange={(value) => change({ first, last: Math.round(value) })}
        />
      </div>
      {fault && <p className="field-fault">{fault}</p>}
      {wait && <p className="small quiet">{wait}</p>}
      {reading &&
        (reading.kind === 'blink' ? (
          <p aria-live="polite">{blinkSentence(reading)}</p>
        ) : (
          <p className="damage" role="status">
            {sentenceFor(reading)}
          </p>
        ))}
    </>
  )
}
