import { useMemo } from 'react'
import type { SeriesResult } from '../../../workers/fit/results.ts'
import { Plot } from '../../plots/plot.tsx'
import { localFigure } from './local-figure.ts'
import { positionFigure, residualFigure, speedFigure, type Look } from './motion-figures.ts'

/** What a plot of a series needs: the place of the lane's letter in the alphabet, and what its files are named for. */
interface PlotOf extends Look {
  readonly series: SeriesResult
}

/** What the balls did: position, speed, and what the fit leaves over. */
export function MotionPlots({ series, lane, of }: PlotOf) {
  const figures = useMemo(() => {
    const look = { lane, of }
    return {
      position: positionFigure(series, look),
      speed: speedFigure(series, look),
      residual: residualFigure(series, look),
    }
  }, [series, lane, of])
  return (
    <div className="motion-plots">
      <Plot figure={figures.position} height={190} />
      <Plot figure={figures.speed} height={150} />
      <Plot figure={figures.residual} height={110} />
    </div>
  )
}

/** Where along the lane it resists more; nothing where the marks do not tell. */
export function LocalPlot({ series, lane, of }: PlotOf) {
  const figure = useMemo(() => localFigure(series, { lane, of }), [series, lane, of])
  return figure && <Plot figure={figure} height={200} />
}
