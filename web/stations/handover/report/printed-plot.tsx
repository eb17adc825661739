import { useEffect, useRef, useState } from 'react'
import { exportFigure } from '../../../plots/export-figure.ts'
import type { Figure } from '../../../plots/figure.ts'

/** Told +1 when a plot begins to be drawn and −1 when it stands or failed: the print button waits for all. */
export type OnDrawing = (change: 1 | -1) => void

/** A figure as vectors on white, as wide as its column. */
export function PrintedPlot({
  figure,
  onDrawing,
  wide = false,
}: {
  readonly figure: Figure
  readonly onDrawing: OnDrawing
  readonly wide?: boolean
}) {
  const [drawn, setDrawn] = useState<{ readonly of: Figure; readonly url: string } | null>(null)
  const [failed, setFailed] = useState<string | null>(null)
  const report = useRef(onDrawing)
  const width = wide ? 860 : 460
  const height = wide ? 240 : 205
  useEffect(() => {
    let url: string | null = null
    let gone = false
    const tell = report.current
    tell(1)
    exportFigure(figure, 'svg', { width, height }, false)
      .then(async (blob) => {
        if (gone) return
        url = URL.createObjectURL(blob)
        // Decoded before it is shown: print waits for nothing.
        const picture = new Image()
        picture.src = url
        await picture.decode()
        if (!gone) setDrawn({ of: figure, url })
      })
      .catch((cause: unknown) => {
        if (!gone) setFailed(cause instanceof Error ? cause.message : String(cause))
      })
      .finally(() => tell(-1))
    return () => {
      gone = true
      if (url) URL.revokeObjectURL(url)
    }
  }, [figure, width, height])
  if (failed !== null)
    return (
      <p className="report-missing">
        The plot “{figure.caption}” could not be drawn ({failed}).
      </p>
    )
  return (
    <figure className={wide ? 'printed-plot wide' : 'printed-plot'}>
      <figcaption>{figure.caption}</figcaption>
      {drawn?.of !== figure ? (
        <p className="quiet">drawing …</p>
      ) : (
        <img src={drawn.url} width={width} height={height} alt={`${figure.name}: ${figure.caption}`} />
      )}
    </figure>
  )
}
