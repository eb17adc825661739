/** The parts of plotly.js (basic bundle) that the wrapper uses. */
declare module 'plotly.js-basic-dist-min' {
  export interface Font {
    family?: string
    size?: number
    color?: string
  }
  export interface ErrorBars {
    type: 'data'
    symmetric: false
    array: readonly number[]
    arrayminus: readonly number[]
    color: string
    thickness: number
    width: number
  }
  export interface Trace {
    type: 'scatter' | 'bar'
    mode?: 'lines' | 'markers' | 'lines+markers'
    name: string
    x: readonly (number | string | null)[]
    y: readonly (number | string | null)[]
    line?: { color?: string; width?: number; dash?: string; shape?: 'linear' | 'hv' | 'spline' }
    marker?: {
      color?: string | readonly string[]
      size?: number
      symbol?: string
      line?: { color?: string; width?: number }
    }
    fill?: 'none' | 'tonexty' | 'tozeroy' | 'toself'
    fillcolor?: string
    error_x?: ErrorBars
    error_y?: ErrorBars
    orientation?: 'v' | 'h'
    hoverinfo?: 'skip'
    hovertemplate?: string
    text?: readonly string[]
    showlegend: false
    connectgaps?: boolean
    width?: number
    customdata?: readonly (number | string)[]
  }
  export interface Axis {
    title?: { text: string; font?: Font; standoff?: number }
    range?: [number, number]
    autorange?: boolean | 'reversed'
    type?: 'linear' | 'log' | 'category'
    showgrid: boolean
    gridcolor?: string
    zeroline: boolean
    zerolinecolor?: string
    zerolinewidth?: number
    showline: boolean
    linecolor: string
    linewidth: number
    ticks: '' | 'outside'
    tickcolor?: string
    ticklen?: number
    tickfont: Font
    nticks?: number
    tickvals?: readonly number[]
    ticktext?: readonly string[]
    automargin: boolean
    fixedrange: boolean
    hoverformat?: string
    separatethousands?: boolean
    exponentformat?: 'power'
    categoryarray?: readonly string[]
  }
  export interface Annotation {
    x: number | string
    y: number | string
    xref?: 'x' | 'paper'
    yref?: 'y' | 'paper'
    text: string
    showarrow: boolean
    xanchor?: 'left' | 'center' | 'right'
    yanchor?: 'top' | 'middle' | 'bottom'
    xshift?: number
    yshift?: number
    align?: 'left' | 'center' | 'right'
    font: Font
    bgcolor?: string
    arrowcolor?: string
    arrowwidth?: number
    arrowhead?: number
    ax?: number
    ay?: number
  }
  export interface Shape {
    type: 'rect' | 'line'
    x0: number
    x1: number
    y0: number
    y1: number
    xref: 'x' | 'paper'
    yref: 'y' | 'paper'
    fillcolor?: string
    line: { color?: string; width: number; dash?: string }
    layer: 'below' | 'above'
  }
  export interface Layout {
    width?: number
    height?: number
    autosize: boolean
    margin: { l: number; r: number; t: number; b: number; pad?: number }
    paper_bgcolor: string
    plot_bgcolor: string
    font: Font
    xaxis: Axis
    yaxis: Axis
    annotations: readonly Annotation[]
    shapes: readonly Shape[]
    showlegend: false
    hovermode: 'closest' | 'x' | false
    hoverlabel: { bgcolor: string; bordercolor: string; font: Font; align?: 'left' }
    dragmode: 'zoom' | 'pan' | false
    separators: string
    barmode?: 'overlay' | 'group'
    bargap?: number
    uirevision?: string
  }
  export interface Config {
    displayModeBar: boolean
    responsive: boolean
    doubleClick: 'reset' | false
    showTips: boolean
    scrollZoom: boolean
  }
  export interface Picture {
    data: readonly Trace[]
    layout: Layout
    config?: Config
  }
  export interface PlotlyApi {
    readonly version: string
    react(element: HTMLElement, data: readonly Trace[], layout: Layout, config: Config): Promise<HTMLElement>
    relayout(element: HTMLElement, change: Readonly<Record<string, unknown>>): Promise<HTMLElement>
    purge(element: HTMLElement): void
    toImage(
      picture: HTMLElement | Picture,
      options: { format: 'svg' | 'png'; width: number; height: number; scale?: number },
    ): Promise<string>
  }
  const Plotly: PlotlyApi
  export default Plotly
}
