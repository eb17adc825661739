import { useMemo } from 'react'
import { fillTime, flowOf, type Flow, type Spread } from '../../../workers/decide/flow.ts'
import type { LaneSetting } from '../../../workers/decide/lane-setting.ts'
import { fillingSentence, noFlowSentence, touchSentence } from '../../../workers/decide/margin-sentences.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { FiguresTable } from '../../parts/figures-table.tsx'
import { useRecord, useRecordState } from '../../record/store.ts'
import { useKept } from './kept-numbers.ts'

const positive = (value: number): string | undefined =>
  value > 0 ? undefined : `${showPlain(value)} cannot be: enter more than 0, or empty the field.`

/** How many balls a lane carries, how near they come, and when it fills. */
export function FlowSheet({ setting }: { readonly setting: LaneSetting }) {
  const record = useRecord((r) => r)
  const readOnly = useRecordState((s) => s.readOnly)
  const { laneId } = setting.result
  const interval = useKept('interval_s', laneId)
  const exitRate = useKept('exitRate_per_s', laneId)
  const flow = useMemo(() => flowOf(record, setting, interval.value), [record, setting, interval.value])
  return (
    <section aria-label="Flow">
      <h3>Balls one after another</h3>
      {flow.kind === 'flow' ? (
        <>
          <FlowFigures flow={flow} />
          <p>{touchSentence(flow)}</p>
          {exitRate.value !== null && <p>{fillingSentence(fillTime(flow, setting, exitRate.value))}</p>}
        </>
      ) : (
        <p>{noFlowSentence(flow)}</p>
      )}
      <form className="entry-row" onSubmit={(event) => event.preventDefault()}>
        <NumberField
          label="another interval"
          unit={units.s}
          value={interval.value}
          readOnly={readOnly}
          check={positive}
          onChange={interval.keep}
          onClear={() => interval.keep(null)}
        />
        <NumberField
          label="exit lets through"
          unit={units.per_s}
          value={exitRate.value}
          readOnly={readOnly}
          check={(value) => (value >= 0 ? undefined : positive(value))}
          onChange={exitRate.keep}
          onClear={() => exitRate.keep(null)}
        />
      </form>
    </section>
  )
}

function FlowFigures({ flow }: { readonly flow: Flow }) {
  const rows = [
    ['interval', `${spread(flow.interval, 1)} s${flow.basis === 'filmed' ? ', as filmed' : ''}`],
    ['balls a second', showPlain(flow.rate_per_s, 3)],
    ['at once on the filmed part', showPlain(flow.onLane, 2)],
    ['spacing at the exit', `${spread(flow.spacing, 1000)} mm`],
    ['the lane could carry', `${showPlain(flow.capacity_per_s, 2)} a second`],
    ...(flow.gateInterval_s === null
      ? []
      : [['let go from rest at one gate, at least', `${showPlain(flow.gateInterval_s, 2)} s apart`] as const]),
  ] as const
  return <FiguresTable rows={rows} />
}

/** A mean with its standard deviation, which is no uncertainty: “0.92, scatter 0.04”. */
const spread = ({ mean, scatter }: Spread, factor: number): string =>
  showPlain(mean * factor, 3) + (scatter === null ? '' : `, scatter ${showPlain(scatter * factor, 2)}`)
