import { useSyncExternalStore } from 'react'
import type { Ink } from './figure.ts'

/** Colours and letters of the page as plotly needs them: as values. */
export interface PlotTheme {
  readonly ink: string
  readonly quiet: string
  readonly line: string
  readonly hair: string
  readonly paper: string
  readonly sheet: string
  readonly accent: string
  readonly accentGround: string
  readonly caution: string
  readonly cautionGround: string
  readonly band: string
  readonly lanes: readonly string[]
  readonly font: string
}

export function readTheme(): PlotTheme {
  const style = getComputedStyle(document.documentElement)
  const token = (name: string) => style.getPropertyValue(`--${name}`).trim()
  return {
    ink: token('ink'),
    quiet: token('ink-2'),
    line: token('line'),
    hair: token('hair'),
    paper: token('paper'),
    sheet: token('sheet'),
    accent: token('accent'),
    accentGround: token('accent-ground'),
    caution: token('caution'),
    cautionGround: token('caution-ground'),
    band: token('band'),
    lanes: [0, 1, 2, 3, 4, 5, 6, 7].map((n) => token(`lane-${n}`)),
    font: token('sans'),
  }
}

/** On white paper, whatever the screen shows: for files and print. */
export const printTheme: PlotTheme = {
  ink: '#22262a',
  quiet: '#5d625f',
  line: '#b8b2a4',
  hair: '#e3ded2',
  paper: '#ffffff',
  sheet: '#ffffff',
  accent: '#0c5c63',
  accentGround: '#e3eeec',
  caution: '#8a4b08',
  cautionGround: '#f6e7d3',
  band: '#e0dbce',
  lanes: ['#0069a6', '#b34a00', '#007355', '#a03f78', '#7d5900', '#4b4fa8', '#556319', '#50565a'],
  font: 'sans-serif',
}

export function colourOf(ink: Ink, theme: PlotTheme): string {
  if (typeof ink === 'object') return theme.lanes[ink.lane % theme.lanes.length] ?? theme.ink
  return theme[ink]
}

let current: PlotTheme | undefined

/** The page's theme; changes with the device's and with the switch. */
export function usePlotTheme(): PlotTheme {
  return useSyncExternalStore(watch, () => (current ??= readTheme()))
}

function watch(changed: () => void): () => void {
  const again = () => {
    current = readTheme()
    changed()
  }
  const dark = matchMedia('(prefers-color-scheme: dark)')
  dark.addEventListener('change', again)
  const observer = new MutationObserver(again)
  observer.observe(document.documentElement, { attributeFilter: ['data-theme'] })
  return () => {
    dark.removeEventListener('change', again)
    observer.disconnect()
  }
}
