import { ownManner } from '../format/locale.ts'
import { drawingOf } from './drawing.ts'
import type { Figure } from './figure.ts'
import { loadPlotly } from './load-plotly.ts'
import { printTheme } from './theme.ts'

/** A figure as a file on white paper, its caption above it unless it is said elsewhere. PNG comes at three times the size, for print. */
export async function exportFigure(
  figure: Figure,
  format: 'svg' | 'png',
  size: { readonly width: number; readonly height: number } = { width: 720, height: 420 },
  captioned = true,
): Promise<Blob> {
  const plotly = await loadPlotly()
  const { data, layout } = drawingOf(figure, printTheme, ownManner)
  const caption = {
    x: 0,
    y: 1,
    xref: 'paper' as const,
    yref: 'paper' as const,
    text: figure.caption,
    showarrow: false,
    xanchor: 'left' as const,
    yanchor: 'bottom' as const,
    yshift: 18,
    font: { family: printTheme.font, size: 13, color: printTheme.ink },
  }
  const address = await plotly.toImage(
    {
      data,
      layout: {
        ...layout,
        ...size,
        autosize: false,
        paper_bgcolor: printTheme.paper,
        margin: { ...layout.margin, ...(captioned ? { t: 48 } : {}), l: 48, b: 40 },
        annotations: captioned ? [...layout.annotations, caption] : layout.annotations,
      },
    },
    { format, ...size, ...(format === 'png' ? { scale: 3 } : {}) },
  )
  return blobOf(address)
}

/** The bytes of a `data:` address; the page's policy lets no fetch go there. */
function blobOf(address: string): Blob {
  const comma = address.indexOf(',')
  const head = address.slice(0, comma)
  const body = address.slice(comma + 1)
  const type = /^data:([^;,]+)/.exec(head)?.[1] ?? 'application/octet-stream'
  if (!head.endsWith(';base64')) return new Blob([decodeURIComponent(body)], { type })
  return new Blob([Uint8Array.from(atob(body), (c) => c.charCodeAt(0))], { type })
}
