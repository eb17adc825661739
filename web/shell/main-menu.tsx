import { useEffect, useId, useRef, useState, type KeyboardEvent } from 'react'
import { isOpen, useRecordState } from '../record/store.ts'
import { openKeysDialog } from './keys-dialog.tsx'
import { openMessageList } from './messages-area.tsx'
import { prefer, usePreference, type Preferences } from './preferences.ts'
import { goTo } from './route.ts'
import { newRecordVerb, openVerb, saveVerb, showDemo } from './verbs.ts'

type Item = { readonly label: string; readonly run: () => void; readonly checked?: boolean } | 'line'

const themes: readonly { readonly theme: Preferences['theme']; readonly label: string }[] = [
  { theme: 'system', label: 'Light or dark as the device' },
  { theme: 'light', label: 'Light' },
  { theme: 'dark', label: 'Dark' },
]

function useItems(): readonly Item[] {
  const open = useRecordState(isOpen)
  const theme = usePreference('theme')
  return [
    { label: 'New record', run: () => void newRecordVerb() },
    { label: 'Open …', run: () => void openVerb() },
    ...(open ? [{ label: 'Save as …', run: () => void saveVerb(true) }] : []),
    { label: 'Kept records', run: () => goTo('kept') },
    'line',
    { label: 'Open the demo', run: () => void showDemo('demo') },
    { label: 'Practise on the demo’s clips', run: () => void showDemo('practice') },
    'line',
    ...themes.map((t) => ({ label: t.label, checked: t.theme === theme, run: () => prefer({ theme: t.theme }) })),
    'line',
    { label: 'Keys', run: openKeysDialog },
    { label: 'Messages', run: openMessageList },
    { label: 'About', run: () => goTo('about') },
  ]
}

/** The menu button and its list, by the menu pattern of WAI-ARIA: arrows move, Enter chooses, Esc closes, a letter jumps. */
export function MainMenu() {
  const [open, setOpen] = useState(false)
  const items = useItems()
  const id = useId()
  const button = useRef<HTMLButtonElement>(null)
  const list = useRef<HTMLDivElement>(null)
  const close = () => {
    setOpen(false)
    button.current?.focus()
  }
  useEffect(() => {
    if (!open) return
    list.current?.querySelector<HTMLElement>('button')?.focus()
    const outside = (event: PointerEvent) => {
      if (
        event.target instanceof Node &&
        !list.current?.contains(event.target) &&
        !button.current?.contains(event.target)
      )
        setOpen(false)
    }
    addEventListener('pointerdown', outside)
    return () => removeEventListener('pointerdown', outside)
  }, [open])
  return (
    <div className="menu">
      <button
        type="button"
        ref={button}
        className="button"
        aria-haspopup="menu"
        aria-expanded={open}
        aria-controls={open ? id : undefined}
        onClick={() => setOpen(!open)}
        onKeyDown={(event) => {
          if (event.key !== 'ArrowDown') return
          event.preventDefault()
          setOpen(true)
        }}
      >
        Menu
      </button>
      {open && (
        <div
          id={id}
          role="menu"
          aria-label="Menu"
          className="menu-list"
          ref={list}
          onKeyDown={(event) => onMenuKey(event, close)}
          onBlur={(event) => {
            if (!event.currentTarget.contains(event.relatedTarget)) setOpen(false)
          }}
        >
          {items.map((item, i) =>
            item === 'line' ? (
              <hr key={`line-${i}`} />
            ) : (
              <button
                key={item.label}
                type="button"
                tabIndex={-1}
                role={item.checked === undefined ? 'menuitem' : 'menuitemradio'}
                aria-checked={item.checked}
                onClick={() => {
                  close()
                  item.run()
                }}
              >
                {item.label}
                {item.checked && <span aria-hidden="true"> ✓</span>}
              </button>
            ),
          )}
        </div>
      )}
    </div>
  )
}

function onMenuKey(event: KeyboardEvent<HTMLDivElement>, close: () => void): void {
  const items = [...event.currentTarget.querySelectorAll<HTMLElement>('button')]
  const at = items.findIndex((item) => item === document.activeElement)
  const to = (i: number) => items.at(i % items.length)?.focus()
  if (event.key === 'ArrowDown') to(at + 1)
  else if (event.key === 'ArrowUp') to(at - 1)
  else if (event.key === 'Home') to(0)
  else if (event.key === 'End') to(-1)
  else if (event.key === 'Escape' || event.key === 'Tab') close()
  else if (event.key.length === 1 && event.key !== ' ') {
    const letter = event.key.toLowerCase()
    const next = [...items.slice(at + 1), ...items.slice(0, at + 1)].find((item) =>
      item.textContent?.toLowerCase().startsWith(letter),
    )
    next?.focus()
  } else return
  event.preventDefault()
}
