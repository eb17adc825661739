import { Suspense, useEffect, useMemo, useRef } from 'react'
import { useSession } from '../record/session.ts'
import { isOpen, useRecordState } from '../record/store.ts'
import { stationNamed } from '../stations/registry.ts'
import { About } from './about.tsx'
import { Header } from './header.tsx'
import { KeysDialog, openKeysDialog } from './keys-dialog.tsx'
import { useKeyActions, type KeyAction } from './keys.ts'
import { KeptRecords } from './kept-records.tsx'
import { MessagesArea } from './messages-area.tsx'
import { NextStepLine } from './next-step.tsx'
import { ErrorBoundary } from './error-boundary.tsx'
import { ProgressArea } from './progress-area.tsx'
import { openVerb, redoVerb, saveVerb, undoVerb } from './verbs.ts'
import { Welcome } from './welcome.tsx'

export function App() {
  const open = useRecordState(isOpen)
  useKeyActions(useShellActions())
  return (
    <>
      <a className="skip-link" href="#main" onClick={skipToMain}>
        To the main part
      </a>
      <Header />
      {open && <NextStepLine />}
      <MessagesArea />
      <main id="main" tabIndex={-1}>
        <PlacePage />
      </main>
      <ProgressArea />
      <KeysDialog />
    </>
  )
}

/** The hash belongs to the stations, so the link moves the focus itself. */
function skipToMain(event: { preventDefault: () => void }) {
  event.preventDefault()
  document.getElementById('main')?.focus()
}

function PlacePage() {
  const place = useSession((session) => session.place)
  const recordId = useRecordState((state) => state.record.id)
  const station = stationNamed(place)
  const first = useRef(true)
  useEffect(() => {
    document.title = `${station?.label ?? titles[place] ?? ''} – Slowlane`.replace(/^ – /, '')
    // A new place is read aloud from its beginning; the first one has the browser's own start.
    if (!first.current) document.getElementById('main')?.focus({ preventScroll: true })
    first.current = false
  }, [place, station])
  if (place === 'welcome') return <Welcome />
  if (place === 'about') return <About />
  if (place === 'kept') return <KeptRecords />
  if (!station) return <Welcome />
  return (
    <ErrorBoundary key={`${place}.${recordId}`} where={station.label}>
      <Suspense fallback={<p className="waiting quiet">Opening {station.label} …</p>}>
        <station.Page />
      </Suspense>
    </ErrorBoundary>
  )
}

const titles: Readonly<Record<string, string>> = { welcome: '', about: 'About', kept: 'Kept records' }

function useShellActions(): readonly KeyAction[] {
  return useMemo(() => {
    const group = 'Everywhere'
    return [
      { name: 'undo', label: 'Undo', group, keys: ['Mod+z'], run: undoVerb },
      { name: 'redo', label: 'Redo', group, keys: ['Mod+Shift+z', 'Mod+y'], run: redoVerb },
      { name: 'save', label: 'Save to a file', group, keys: ['Mod+s'], run: () => void saveVerb() },
      { name: 'save-as', label: 'Save as …', group, keys: ['Mod+Shift+s'], run: () => void saveVerb(true) },
      { name: 'open', label: 'Open a record', group, keys: ['Mod+o'], run: () => void openVerb() },
      { name: 'keys', label: 'Show this list', group, keys: ['?'], run: openKeysDialog },
    ]
  }, [])
}
