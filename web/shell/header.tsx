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
        Undo
      </button>
      <button
        type="button"
        className="button"
        disabled={history.redo === undefined || readOnly}
        title={history.redo === undefined ? 'Nothing to do again' : `Redo: ${history.redo}`}
        aria-label={history.redo === undefined ? 'Redo' : `Redo: ${history.redo}`}
        onClick={redoVerb}
      >
        Redo
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
