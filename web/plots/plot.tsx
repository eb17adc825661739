import { useEffect, useId, useRef, useState } from 'react'
import { ownManner } from '../format/locale.ts'
import { download, fileNameOf } from '../record/record-file.ts'
import { drawingOf } from './drawing.ts'
import { exportFigure } from './export-figure.ts'
import { FigureTable } from './figure-table.tsx'
import type { Figure } from './figure.ts'
import { loadPlotly } from './load-plotly.ts'
import './plots.css'
import { usePlotTheme } from './theme.ts'

const config = {
  displayModeBar: false,
  responsive: false,
  doubleClick: 'reset',
  showTips: false,
  scrollZoom: false,
} as const

/** Under a finger a drag scrolls the page; under a mouse it zooms the plot. */
const forFingers = matchMedia('(pointer: coarse)').matches ? { dragmode: false as const } : {}

type Drawn = { kind: 'waiting' } | { kind: 'drawn' } | { kind: 'failed'; why: string }

/** A figure with its caption above, its table and its files below. Drag zooms, double click shows all again. */
export function Plot({ figure, height = 180 }: { readonly figure: Figure; readonly height?: number }) {
  const element = useRef<HTMLDivElement>(null)
  const theme = usePlotTheme()
  const [drawn, setDrawn] = useState<Drawn>({ kind: 'waiting' })
  const width = useWidth(element)
  const id = useId()

  useEffect(() => {
    const target = element.current
    if (!target || width === 0) return
    let gone = false
    void (async () => {
      try {
        const plotly = await loadPlotly()
        if (gone) return
        const { data, layout } = drawingOf(figure, theme, ownManner)
        await plotly.react(target, data, { ...layout, ...forFingers, width, height }, config)
        if (!gone) setDrawn({ kind: 'drawn' })
      } catch (cause) {
        if (!gone) setDrawn({ kind: 'failed', why: cause instanceof Error ? cause.message : String(cause) })
      }
    })()
    return () => {
      gone = true
    }
  }, [figure, theme, width, height])

  useEffect(() => {
    const target = element.current
    return () => {
      if (target) void loadPlotly().then((plotly) => plotly.purge(target))
    }
  }, [])

  return (
    <figure className="plot" aria-labelledby={id}>
      <figcaption id={id}>{figure.caption}</figcaption>
      <div
        ref={element}
        className="plot-drawing"
        style={{ height }}
        role="img"
        aria-label={`${figure.caption}: ${figure.curves
          .filter((curve) => !curve.guide)
          .map((curve) => curve.name)
          .join(', ')}. The numbers are in the table below.`}
        data-drawn={drawn.kind}
      />
      {drawn.kind === 'failed' && (
        <p className="field-fault">The plot could not be drawn ({drawn.why}). Its numbers are in the table.</p>
      )}
      <details className="plot-more">
        <summary>
          Table<span className="only-read-aloud"> of {figure.caption}</span>
        </summary>
        <p className="plot-files">
          {(['svg', 'png'] as const).map((format) => (
            <button
              key={format}
              type="button"
              className="link"
              onClick={() =>
                void exportFigure(figure, format).then((blob) => download(blob, fileNameOf(figure.name, `.${format}`)))
              }
            >
              Save as {format.toUpperCase()}
            </button>
          ))}
        </p>
        <FigureTable figure={figure} />
      </details>
    </figure>
  )
}

/** Width of an element in whole pixels; follows the page. */
function useWidth(element: { readonly current: HTMLElement | null }): number {
  const [width, setWidth] = useState(0)
  useEffect(() => {
    const target = element.current
    if (!target) return
    const observer = new ResizeObserver(([entry]) => {
      if (entry) setWidth(Math.floor(entry.contentRect.width))
    })
    observer.observe(target)
    return () => observer.disconnect()
  }, [element])
  return width
}
