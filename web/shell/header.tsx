import { recordStore, isOpen, useRecordState } from '../record/store.ts'
import { goTo } from './route.ts'
import { MainMenu } from './main-menu.tsx'
import { SavedState } from './saved-state.tsx'
import { StationsRow } from './stations-row.tsx'
import { TitleField } from './title-field.tsx'
import { redoVerb, saveVerb, undoVerb, useHistory } from './verbs.ts'

export function Header() {
  const open = useRecordState(isOpen)
  return (
    <header className="header">
      <a
        className="brand"
        href="#/"
        onClick={(event) => {
          event.preventDefault()
          goTo('welcome')
        }}
      >
        Slowlane
      </a>
      {open ? <TitleField /> : <span className="title-field" />}
      {open && <StationsRow />}
      <div className="header-end">
        {open && <OpenRecordTools />}
        <MainMenu />
      </div>
    </header>
  )
}

function OpenRecordTools() {
  const history = useHistory()
  const readOnly = useRecordState((state) => state.readOnly)
  return (
    <>
      <SavedState />
      <button
        type="button"
        className="button"
        disabled={history.undo === undefined || readOnly}
        title={history.undo === undefined ? 'Nothing to undo' : `Undo: ${history.undo}`}
        aria-label={history.undo === undefined ? 'Undo' : `Undo: ${history.undo}`}
        onClick={undoVerb}
      >
        <ArrowOr word="Undo" path="M5.5 3 2.5 6l3 3M3 6h6.500a3.500 3.500 0 0 1 0 7H6" />
      </button>
      <button
        type="button"
        className="button"
        disabled={history.redo === undefined || readOnly}
        title={history.redo === undefined ? 'Nothing to do again' : `Redo: ${history.redo}`}
        aria-label={history.redo === undefined ? 'Redo' : `Redo: ${history.redo}`}
        onClick={redoVerb}
      >
        <ArrowOr word="Redo" path="M10.500 3l3 3-3 3M13 6H6.500a3.500 3.500 0 0 0 0 7H10" />
      </button>
      <button
        type="button"
        className="button"
        onClick={() => void saveVerb()}
        disabled={!isOpen(recordStore.getState())}
      >
        Save
      </button>
    </>
  )
}

/** A word where there is room, an arrow on small screens; the name of the button stays. */
function ArrowOr({ word, path }: { readonly word: string; readonly path: string }) {
  return (
    <>
      <span className="wide-only">{word}</span>
      <svg className="narrow-only" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
        <path d={path} fill="none" stroke="currentColor" strokeWidth="1.5" />
      </svg>
    </>
  )
}
