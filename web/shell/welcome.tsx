import { isOpen, useRecordState } from '../record/store.ts'
import { KeptList, useKeptRecords } from './kept-records.tsx'
import { goTo } from './route.ts'
import { openVerb, pickFootageVerb, showDemo } from './verbs.ts'
import { WelcomeDrawing } from './welcome-drawing.tsx'
import { stationList } from '../stations/registry.ts'

/** The job in one calm screen: what it does, what is needed, and the two ways in. */
export function Welcome() {
  const open = useRecordState(isOpen)
  const title = useRecordState((state) => state.record.title)
  const kept = useKeptRecords()
  return (
    <div className="page welcome">
      <div className="welcome-words">
        <h1>How easily does a ball roll along your lane?</h1>
        <p className="lead">
          Film it in slow motion. Slowlane follows each ball from frame to frame and tells you its speed, how it slows,
          and the lane’s rolling resistance, each with its ±. Then it compares lanes, before and after sanding, and says
          what shim makes a lane safe.
        </p>
        <p className="actions">
          <button type="button" className="button main" onClick={() => void pickFootageVerb()}>
            Open your clip
          </button>
          <button type="button" className="button" onClick={() => void showDemo('demo')}>
            Open the demo
          </button>
          <button type="button" className="link" onClick={() => void showDemo('practice')}>
            Same clips, empty record to practise
          </button>
        </p>
        <p className="quiet">
          Or drop footage or a record anywhere on this page, or{' '}
          <button type="button" className="link" onClick={() => void openVerb()}>
            open a record from a file
          </button>
          .
        </p>
        <p className="promise">
          Footage never leaves this machine. There is no server and no account; after the first visit no network is
          needed.
        </p>
      </div>
      <WelcomeDrawing />
      {open && stationList[0] && (
        <p className="go-on">
          Open now: “{title}”.{' '}
          <button type="button" className="link" onClick={() => goTo(stationList[0]?.name ?? 'welcome')}>
            Go on with it
          </button>
        </p>
      )}
      {kept.kind === 'read' && kept.records.length > 0 && (
        <section className="welcome-kept">
          <h2>Kept in this browser</h2>
          <KeptList records={kept.records.slice(0, 4)} />
          {kept.records.length > 4 && (
            <p>
              <button type="button" className="link" onClick={() => goTo('kept')}>
                All {kept.records.length} kept records
              </button>
            </p>
          )}
        </section>
      )}
    </div>
  )
}
