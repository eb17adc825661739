import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** What this browser remembers of this person's ways; no part of any record. */
export interface Preferences {
  readonly theme: 'system' | 'light' | 'dark'
  readonly shortcuts: boolean
  /** This person was told that the browser may clear what it keeps. */
  readonly toldOfClearing: boolean
}

const key = 'slowlane-preferences'
const byDefault: Preferences = { theme: 'system', shortcuts: true, toldOfClearing: false }

function read(): Preferences {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(key) ?? 'null')
    if (typeof kept !== 'object' || kept === null) return byDefault
    const theme = 'theme' in kept && (kept.theme === 'light' || kept.theme === 'dark') ? kept.theme : 'system'
    return {
      theme,
      shortcuts: !('shortcuts' in kept && kept.shortcuts === false),
      toldOfClearing: 'toldOfClearing' in kept && kept.toldOfClearing === true,
    }
  } catch {
    // Storage refused or damaged: the defaults serve.
    return byDefault
  }
}

export const preferenceStore = createStore<Preferences>(() => byDefault)

export function usePreference<K extends keyof Preferences>(name: K): Preferences[K] {
  return useStore(preferenceStore, (all) => all[name])
}

export function prefer(change: Partial<Preferences>): void {
  preferenceStore.setState(change)
  show()
  try {
    localStorage.setItem(key, JSON.stringify(preferenceStore.getState()))
  } catch {
    // It holds for this tab; there is nothing to lose.
  }
}

/** Reads the preferences and puts the theme on the page. */
export function beginPreferences(): void {
  preferenceStore.setState(read())
  show()
}

function show(): void {
  const { theme } = preferenceStore.getState()
  if (theme === 'system') delete document.documentElement.dataset['theme']
  else document.documentElement.dataset['theme'] = theme
}
