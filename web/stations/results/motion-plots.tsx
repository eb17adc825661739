import { useMemo } from 'react'
import type { SeriesResult } from '../../../workers/fit/results.ts'
import { laneNumber, laneStroke } from '../../picture/lane-stroke.ts'
import { Plot } from '../../plots/plot.tsx'
import { useRecord } from '../../record/store.ts'
import { localFigure } from './local-figure.ts'
import { positionFigure, residualFigure, speedFigure } from './motion-figures.ts'

/** What the balls did: position, speed, and what the fit leaves over. */
export function MotionPlots({ series, laneId, of }: { series: SeriesResult; laneId: string; of: string }) {
  const key = useRecord((record) => record.lanes[laneId]?.key ?? 'A')
  const dash = useRecord((record) => laneStroke(record, laneId).dash)
  const look = useMemo(() => ({ lane: laneNumber(key), dash, of }), [key, dash, of])
  const position = useMemo(() => positionFigure(series, look), [series, look])
  const speed = useMemo(() => speedFigure(series, look), [series, look])
  const residual = useMemo(() => residualFigure(series, look), [series, look])
  const local = useMemo(() => localFigure(series, look.lane, look.of), [series, look])
  return (
    <div className="motion-plots">
      <Plot figure={position} height={190} />
      <Plot figure={speed} height={150} />
      <Plot figure={residual} height={110} />
      {local && <Plot figure={local} height={170} />}
    </div>
  )
}
