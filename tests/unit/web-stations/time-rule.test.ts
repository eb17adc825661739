import { produce, type Draft } from 'immer'
import { expect, test } from 'vitest'
import { measuredRate } from '../../../workers/measure/clip-clock.ts'
import { emptyRecord, noDeviations, parseRecord, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { addView } from '../../../web/stations/footage/view-edits.ts'
import { writeStated } from '../../../web/stations/stated/stated-edits.ts'
import { setDrift, setRate, setSpacing, setClock, spacingOf, clockOf } from '../../../web/stations/time/time-edits.ts'

function start(): { record: SlowlaneRecord; viewId: string } {
  let viewId = ''
  const record = produce(emptyRecord('r', 'test', ''), (draft) => {
    viewId = addView(draft, { width: 1280, height: 720 })
    draft.clips['c'] = {
      id: 'c',
      name: 'passage.mp4',
      size: 1,
      quickKey: 'q',
      container: 'MP4',
      codec: 'H.264',
      width: 1280,
      height: 720,
      rotation: 0,
      turn: 0,
      frames: 700,
      timescale: 15360,
      firstTicks: 0,
      lastTicks: 699 * 512,
      interval: { median: 512, least: 512, greatest: 512, uneven: 0 },
      timestampStep_s: 0,
      fileRate_hz: 30,
      filmingRateTag_hz: null,
      damage: null,
      viewId,
    }
  })
  return { record, viewId }
}
const stated = (draft: Draft<SlowlaneRecord>, value: number, unit: 'Hz' | 's' | '1') =>
  writeStated(
    draft,
    undefined,
    { value, distribution: { kind: 'rectangular', half: 0.001 }, basis: '', unknown: false },
    { name: 'stated', unit },
  )

test('two frames a second apart give the rate at which the frames between them were filmed', () => {
  const { record, viewId } = start()
  const measured = produce(record, (draft) => {
    setClock(draft.views[viewId]!, {
      kind: 'two-frames',
      clipId: 'c',
      first: 100,
      last: 340,
      apart_s: stated(draft, 1, 's'),
    })
  })
  expect(parseRecord(JSON.parse(JSON.stringify(measured))).kind).toBe('ok')
  const rate = measuredRate(measured, measured.views[viewId]!, noDeviations)
  expect(rate.kind === 'rate' && rate.rate_hz).toBe(240)
  expect(clockOf(measured.views[viewId]!, 'two-frames')?.last).toBe(340)
})

test('how frames are spaced outlives a change of the rate, and means nothing for the file’s own time', () => {
  const { record, viewId } = start()
  const typed = produce(record, (draft) => setRate(draft.views[viewId]!, stated(draft, 240, 'Hz')))
  const even = produce(typed, (draft) => setSpacing(draft.views[viewId]!, 'even'))
  const again = produce(even, (draft) => setRate(draft.views[viewId]!, stated(draft, 120, 'Hz')))
  expect(spacingOf(again.views[viewId]!)).toBe('even')
  const file = produce(again, (draft) => {
    setDrift(draft.views[viewId]!, stated(draft, 0, '1'))
    setSpacing(draft.views[viewId]!, 'even')
  })
  expect(file.views[viewId]!.timebase.kind).toBe('file')
  expect(spacingOf(file.views[viewId]!)).toBe('timestamps')
})
