import { useEffect } from 'react'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { preferenceStore } from './preferences.ts'

/** A named action and the keys that call it. `keys`: `'ArrowLeft'`, `'Shift+ArrowRight'`, `'Mod+z'` (Ctrl, on Apple Cmd), `'n'`, `'?'`. */
export interface KeyAction {
  readonly name: string
  readonly label: string
  readonly group: string
  readonly keys: readonly string[]
  readonly run: () => void
}

const actionStore = createStore<{ readonly sets: readonly (readonly KeyAction[])[] }>(() => ({ sets: [] }))

/** Every action that keys can call now; a later set (the station's) goes before an earlier one (the shell's). */
export function useActions(): readonly KeyAction[] {
  const sets = useStore(actionStore, (state) => state.sets)
  return [...sets].reverse().flat()
}

/** Lends actions to the keyboard until the returned function is called. */
export function lendActions(actions: readonly KeyAction[]): () => void {
  actionStore.setState(({ sets }) => ({ sets: [...sets, actions] }))
  return () => actionStore.setState(({ sets }) => ({ sets: sets.filter((set) => set !== actions) }))
}

/** Lends actions while the component is shown. Memoise the array. */
export function useKeyActions(actions: readonly KeyAction[]): void {
  useEffect(() => lendActions(actions), [actions])
}

/** The name of a pressed key in the manner of `KeyAction.keys`. */
export function chordOf(event: Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey' | 'shiftKey'>): string {
  const mod = event.ctrlKey || event.metaKey ? 'Mod+' : ''
  const alt = event.altKey ? 'Alt+' : ''
  // For a printed character Shift is part of the character itself.
  const printed = event.key.length === 1
  const shift = event.shiftKey && (!printed || mod !== '') ? 'Shift+' : ''
  return mod + alt + shift + (printed ? event.key.toLowerCase() : event.key)
}

/** Keys that a focused control uses itself. */
const ownKeys: Readonly<Record<string, RegExp>> = {
  button: /^(Enter| )$/,
  link: /^Enter$/,
  slider: /^(Arrow|Home|End|Page)/,
  menu: /^(Arrow|Home|End|Enter| |Escape|.$)/,
  radio: /^(Arrow| )/,
  disclosure: /^(Enter| )$/,
}

/** True when the pressed key belongs to what has the focus: text being typed, a list, a button, an open dialog. */
function belongsToFocus(target: EventTarget | null, key: string): boolean {
  if (!(target instanceof HTMLElement)) return false
  if (target.isContentEditable) return true
  if (target.closest('dialog[open], [role=dialog], [role=menu], [role=listbox]')) return true
  if (target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement) return true
  if (target instanceof HTMLInputElement) {
    if (target.type === 'range') return ownKeys['slider']?.test(key) ?? false
    if (target.type === 'radio') return ownKeys['radio']?.test(key) ?? false
    if (target.type === 'checkbox' || target.type === 'button') return key === ' ' || key === 'Enter'
    return true
  }
  const role = target.getAttribute('role')
  if (role && /^(slider|scrollbar|spinbutton|tab|textbox|combobox|searchbox)$/.test(role))
    return role === 'slider' ? (ownKeys['slider']?.test(key) ?? false) : true
  if (target instanceof HTMLButtonElement || role === 'button') return ownKeys['button']?.test(key) ?? false
  if (target instanceof HTMLAnchorElement) return ownKeys['link']?.test(key) ?? false
  if (target.tagName === 'SUMMARY') return ownKeys['disclosure']?.test(key) ?? false
  return false
}

/** Listens on the window; returns the end of listening. */
export function beginKeys(): () => void {
  const onKey = (event: KeyboardEvent): void => {
    if (event.defaultPrevented || event.isComposing) return
    const chord = chordOf(event)
    if (belongsToFocus(event.target, event.key)) return
    // With shortcuts switched off only chords with Ctrl or Cmd remain: they cannot be struck by chance (WCAG 2.2, 2.1.4).
    if (!preferenceStore.getState().shortcuts && !chord.startsWith('Mod+')) return
    const action = [...actionStore.getState().sets]
      .reverse()
      .flat()
      .find((a) => a.keys.includes(chord))
    if (!action) return
    event.preventDefault()
    action.run()
  }
  addEventListener('keydown', onKey)
  return () => removeEventListener('keydown', onKey)
}

const apple = /Mac|iPhone|iPad/.test(globalThis.navigator?.userAgent ?? '')
const words: Readonly<Record<string, string>> = {
  Mod: apple ? '⌘' : 'Ctrl',
  ArrowLeft: '←',
  ArrowRight: '→',
  ArrowUp: '↑',
  ArrowDown: '↓',
  PageUp: 'Page Up',
  PageDown: 'Page Down',
  ' ': 'Space',
  Escape: 'Esc',
}

/** The caps of one chord: `'Shift+ArrowLeft'` → `['Shift', '←']`. */
export function capsOf(chord: string): string[] {
  const parts = chord === '+' ? ['+'] : chord.split('+')
  return parts.map((part) => words[part] ?? (part.length === 1 ? part.toUpperCase() : part))
}
