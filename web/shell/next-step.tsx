import { memo } from 'react'
import { useSession, type Place } from '../record/session.ts'
import { stationList, stationNamed, type NextStep } from '../stations/registry.ts'
import { capsOf } from './keys.ts'
import { goTo } from './route.ts'
import { useAsked, type Asked } from './use-stations.ts'

/** The one thing that helps now: of this station, else of the first that still needs something. */
export function NextStepLine() {
  return <NextStepOf place={useSession((s) => s.place)} asked={useAsked()} />
}

const NextStepOf = memo(function NextStepOf({ place, asked }: { readonly place: Place; readonly asked: Asked }) {
  const { record, session } = asked
  const here = stationNamed(place)
  if (!here) return null
  const own = here.next(record, session)
  const other = own ? undefined : stationList.find((s) => s !== here && s.state(record, session) !== 'ready')
  const step: NextStep | null =
    own ??
    (other
      ? {
          text: here.state(record, session) === 'ready' ? `${here.label} is ready.` : '',
          action: { label: `Go on with ${other.label}`, run: () => goTo(other.name) },
        }
      : null)
  if (!step) return null
  return (
    <aside className="next-step" aria-label="Next step">
      <p>
        {step.text}
        {step.action && (
          <>
            {' '}
            <button type="button" className="link" onClick={step.action.run}>
              {step.action.label}
            </button>
            {step.action.key && <kbd>{capsOf(step.action.key).join(' ')}</kbd>}
          </>
        )}
        {step.after && ` ${step.after}`}
      </p>
    </aside>
  )
})
