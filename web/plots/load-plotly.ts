/// <reference path="./plotly.d.ts" />
import type { PlotlyApi } from 'plotly.js-basic-dist-min'

/**
 * Ids of the style elements that plotly would put into the page by script. The page's policy forbids that, and plotly leaves it when
 * elements of these ids are there; what it needs of them stands in plots.css. The second belongs to its maps, which are not in use.
 */
const styleIds = ['plotly.js-style-global', '9f215cf04c5486422605d13261cb87401f4e7763b6296af81e98efbc0130da53']

let loaded: Promise<PlotlyApi> | undefined

/** The plotting library, fetched when the first plot is shown. Rejects when it cannot be fetched; asked again, it tries again. */
export function loadPlotly(): Promise<PlotlyApi> {
  loaded ??= load().catch((cause: unknown) => {
    loaded = undefined
    throw new Error('the plotting part could not be loaded', { cause })
  })
  return loaded
}

async function load(): Promise<PlotlyApi> {
  for (const id of styleIds) {
    if (document.getElementById(id)) continue
    const mark = document.createElement('template')
    mark.id = id
    mark.className = 'no-inline-styles'
    document.head.append(mark)
  }
  return (await import('plotly.js-basic-dist-min')).default
}
