/// <reference path="./plotly.d.ts" />
import type { Annotation, Axis, ErrorBars, Layout, Picture, Shape, Trace } from 'plotly.js-basic-dist-min'
import type { NumberManner } from '../format/locale.ts'
import type { AxisOf, Band, Curve, Figure, FigureNote, RuledLine } from './figure.ts'
import { colourOf, type PlotTheme } from './theme.ts'

/** A figure as plotly draws it: hairline axes, no frame, few ticks, labels beside the curves. Pure. */
export function drawingOf(figure: Figure, theme: PlotTheme, manner: NumberManner): Picture {
  return {
    data: figure.curves.flatMap((curve) => tracesOf(curve, figure, theme)),
    layout: layoutOf(figure, theme, manner),
  }
}

const finite = (x: number | undefined): number | null => (x !== undefined && Number.isFinite(x) ? x : null)

function tracesOf(curve: Curve, figure: Figure, theme: PlotTheme): Trace[] {
  const colour = colourOf(curve.ink, theme)
  const x = curve.kind === 'treads' ? treadsAlong(curve.x) : curve.x.map(finite)
  const y = curve.kind === 'treads' ? treadsUp(curve.y) : curve.y.map(finite)
  const unit = (axis: AxisOf) => (axis.unit === '' ? '' : ` ${axis.unit}`)
  const main: Trace = {
    type: curve.kind === 'bars' ? 'bar' : 'scatter',
    name: curve.name,
    x,
    y,
    showlegend: false,
    connectgaps: false,
    ...(curve.guide
      ? { hoverinfo: 'skip' as const }
      : {
          hovertemplate: `${escaped(curve.name)}<br>%{x}${unit(figure.x)}, %{y}${unit(figure.y)}<extra></extra>`,
        }),
  }
  switch (curve.kind) {
    case 'line':
    case 'line-and-points':
    case 'steps':
    case 'treads':
      main.mode = curve.kind === 'line-and-points' ? 'lines+markers' : 'lines'
      main.line = {
        color: colour,
        width: curve.width ?? 1.7,
        shape: curve.kind === 'steps' ? 'hv' : 'linear',
        ...(curve.dash === undefined ? {} : { dash: dashOf(curve.dash) }),
      }
      break
    case 'points':
    case 'rows':
      main.mode = 'markers'
      break
    case 'bars':
      break
  }
  if (curve.kind !== 'line' && curve.kind !== 'steps' && curve.kind !== 'treads')
    main.marker = curve.open
      ? { color: theme.paper, size: curve.size ?? 6, line: { color: colour, width: 1.4 } }
      : { color: colour, size: curve.size ?? 4 }
  const ends = endsOf(curve)
  if (!ends) return [main]
  if (curve.asBand) return [...bandTraces(curve, ends, theme), main]
  const bars: ErrorBars = {
    type: 'data',
    symmetric: false,
    array: ends.high.map((h, i) => h - (along(curve)[i] ?? h)),
    arrayminus: ends.low.map((l, i) => (along(curve)[i] ?? l) - l),
    color: colour,
    thickness: 1.4,
    width: 0,
  }
  return [curve.kind === 'rows' ? { ...main, error_x: bars } : { ...main, error_y: bars }]
}

/** Treads without risers: each from its edge to the next, with a gap between. The last place is the last edge. */
const treadsAlong = (edges: readonly number[]): (number | null)[] =>
  edges.slice(0, -1).flatMap((edge, i) => [finite(edge), finite(edges[i + 1]), null])
const treadsUp = (heights: readonly number[]): (number | null)[] =>
  heights.slice(0, -1).flatMap((height) => [finite(height), finite(height), null])
const doubled = (numbers: readonly number[]): (number | null)[] => numbers.flatMap((n) => [finite(n), finite(n)])

/** The values an interval is about. */
const along = (curve: Curve): readonly number[] => (curve.kind === 'rows' ? curve.x : curve.y)

function endsOf(curve: Curve): { low: readonly number[]; high: readonly number[] } | undefined {
  if (curve.low && curve.high) return { low: curve.low, high: curve.high }
  const { U } = curve
  if (!U) return undefined
  return { low: along(curve).map((v, i) => v - (U[i] ?? 0)), high: along(curve).map((v, i) => v + (U[i] ?? 0)) }
}

function bandTraces(
  curve: Curve,
  ends: { low: readonly number[]; high: readonly number[] },
  theme: PlotTheme,
): Trace[] {
  const edge = (y: readonly number[], fill: 'none' | 'tonexty'): Trace => ({
    type: 'scatter',
    mode: 'lines',
    name: curve.name,
    x: curve.kind === 'treads' ? doubled(curve.x).slice(1, -1) : curve.x.map(finite),
    y: curve.kind === 'treads' ? doubled(y.slice(0, -1)) : y.map(finite),
    line: { width: 0, shape: curve.kind === 'steps' ? 'hv' : 'linear', color: theme.band },
    fill,
    fillcolor: theme.band,
    hoverinfo: 'skip',
    showlegend: false,
  })
  return [edge(ends.low, 'none'), edge(ends.high, 'tonexty')]
}

function layoutOf(figure: Figure, theme: PlotTheme, manner: NumberManner): Layout {
  const font = { family: theme.font, size: 11, color: theme.quiet }
  return {
    autosize: true,
    margin: { l: 34, r: rightMargin(figure), t: saysAbove(figure) ? 22 : 10, b: 26, pad: 0 },
    paper_bgcolor: 'rgba(0,0,0,0)',
    plot_bgcolor: 'rgba(0,0,0,0)',
    font,
    xaxis: axisOf(figure.x, theme),
    yaxis: axisOf(figure.y, theme),
    annotations: [
      ...figure.curves.flatMap((curve) => directLabel(curve, figure, theme)),
      ...(figure.notes ?? []).map((note) => noteOf(note, theme)),
      ...(figure.bands ?? []).flatMap((band) => bandLabel(band, theme)),
      ...(figure.lines ?? []).flatMap((line) => lineLabel(line, theme)),
    ],
    shapes: [
      ...(figure.bands ?? []).map((band) => bandShape(band, theme)),
      ...(figure.lines ?? []).map((line) => lineShape(line, theme)),
    ],
    showlegend: false,
    hovermode: 'closest',
    hoverlabel: { bgcolor: theme.sheet, bordercolor: theme.line, font: { ...font, color: theme.ink }, align: 'left' },
    dragmode: 'zoom',
    separators: manner.decimal === ',' ? ',\u202f' : '.\u202f',
    barmode: 'overlay',
    bargap: 0.3,
    uirevision: figure.name,
  }
}

/** Whether a band's words stand above the plot. */
const saysAbove = (figure: Figure): boolean =>
  (figure.bands ?? []).some((band) => band.x !== undefined && band.says !== undefined)

/** Room for the longest label that stands to the right of its curve; 6 px a letter of 11 px type. */
function rightMargin(figure: Figure): number {
  const ends = figure.curves.filter((curve) => curve.direct !== undefined && curve.directAt === undefined)
  return Math.max(10, ...ends.map((curve) => 12 + 6.4 * (curve.direct?.length ?? 0)))
}

function axisOf(axis: AxisOf, theme: PlotTheme): Axis {
  const drawn = axis.drawn ?? true
  return {
    showgrid: false,
    zeroline: false,
    showline: drawn,
    linecolor: theme.line,
    linewidth: 1,
    ticks: '',
    tickfont: { family: theme.font, size: 11, color: theme.quiet },
    nticks: axis.ticks ?? 6,
    automargin: true,
    fixedrange: false,
    exponentformat: 'power',
    ...(axis.log ? { type: 'log' as const } : {}),
    ...(axis.range ? { range: [axis.range[0], axis.range[1]] as [number, number] } : {}),
    ...(axis.names
      ? { tickvals: axis.names.map((_, i) => i), ticktext: axis.names.map(escaped), autorange: 'reversed' as const }
      : {}),
    ...(drawn ? {} : { tickvals: [] }),
  }
}

function directLabel(curve: Curve, figure: Figure, theme: PlotTheme): Annotation[] {
  if (curve.direct === undefined) return []
  const at = curve.directAt ?? lastFinite(curve)
  const x = curve.x[at]
  const y = curve.y[at]
  if (x === undefined || y === undefined || !Number.isFinite(x) || !Number.isFinite(y)) return []
  const end = curve.directAt === undefined
  return [
    {
      x: figure.x.log ? Math.log10(x) : x,
      y: figure.y.log ? Math.log10(y) : y,
      text: escaped(curve.direct),
      showarrow: false,
      xanchor: end ? 'left' : 'center',
      yanchor: end ? 'middle' : 'bottom',
      xshift: end ? 5 : 0,
      yshift: end ? 0 : 3,
      font: { family: theme.font, size: 11, color: colourOf(curve.ink, theme) },
    },
  ]
}

function lastFinite(curve: Curve): number {
  for (let i = Math.min(curve.x.length, curve.y.length) - 1; i >= 0; i -= 1)
    if (finite(curve.x[i]) !== null && finite(curve.y[i]) !== null) return i
  return 0
}

const bandColour = (band: Band, theme: PlotTheme): string =>
  band.ink === 'caution' ? theme.cautionGround : band.ink === 'accent' ? theme.accentGround : theme.band

function bandShape(band: Band, theme: PlotTheme): Shape {
  return {
    type: 'rect',
    x0: band.x?.[0] ?? 0,
    x1: band.x?.[1] ?? 1,
    y0: band.y?.[0] ?? 0,
    y1: band.y?.[1] ?? 1,
    xref: band.x ? 'x' : 'paper',
    yref: band.y ? 'y' : 'paper',
    fillcolor: bandColour(band, theme),
    line: { width: 0 },
    layer: 'below',
  }
}

function bandLabel(band: Band, theme: PlotTheme): Annotation[] {
  if (band.says === undefined) return []
  return [
    {
      x: band.x ? (band.x[0] + band.x[1]) / 2 : 1,
      xref: band.x ? 'x' : 'paper',
      y: band.x ? 1 : (band.y?.[1] ?? 1),
      yref: band.x ? 'paper' : 'y',
      text: escaped(band.says),
      showarrow: false,
      xanchor: band.x ? 'center' : 'right',
      yanchor: 'bottom',
      font: { family: theme.font, size: 11, color: band.ink === 'caution' ? theme.caution : theme.quiet },
    },
  ]
}

function lineShape(line: RuledLine, theme: PlotTheme): Shape {
  const upright = line.x !== undefined
  return {
    type: 'line',
    x0: line.x ?? 0,
    x1: line.x ?? 1,
    y0: line.y ?? 0,
    y1: line.y ?? 1,
    xref: upright ? 'x' : 'paper',
    yref: upright ? 'paper' : 'y',
    line: {
      color: colourOf(line.ink, theme),
      width: 1,
      ...(line.dash === undefined ? {} : { dash: dashOf(line.dash) }),
    },
    layer: 'below',
  }
}

function lineLabel(line: RuledLine, theme: PlotTheme): Annotation[] {
  if (line.says === undefined) return []
  const upright = line.x !== undefined
  return [
    {
      x: line.x ?? 1,
      xref: upright ? 'x' : 'paper',
      y: line.y ?? 1,
      yref: upright ? 'paper' : 'y',
      text: escaped(line.says),
      showarrow: false,
      xanchor: upright ? 'left' : 'right',
      yanchor: upright ? 'top' : 'bottom',
      xshift: upright ? 4 : 0,
      font: { family: theme.font, size: 11, color: colourOf(line.ink, theme) },
    },
  ]
}

function noteOf(note: FigureNote, theme: PlotTheme): Annotation {
  const place = note.place ?? 'above'
  return {
    x: note.x,
    y: note.y,
    text: escaped(note.text),
    showarrow: false,
    xanchor: place === 'left' ? 'right' : place === 'right' ? 'left' : 'center',
    yanchor: place === 'above' ? 'bottom' : place === 'below' ? 'top' : 'middle',
    xshift: place === 'left' ? -6 : place === 'right' ? 6 : 0,
    yshift: place === 'above' ? 4 : place === 'below' ? -4 : 0,
    font: { family: theme.font, size: 11, color: colourOf(note.ink ?? 'quiet', theme) },
  }
}

/** `8 4` → `8px,4px`. */
const dashOf = (dash: string): string =>
  dash
    .trim()
    .split(/[\s,]+/)
    .map((length) => `${length}px`)
    .join(',')

/** Plotly reads a little HTML in texts; names are people's and stay text. */
export const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('%{', '%\u200b{')
