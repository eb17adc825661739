import { memo, useEffect, useRef } from 'react'
import { useSession, type Place } from '../record/session.ts'
import { stationList, type StationState } from '../stations/registry.ts'
import { goTo } from './route.ts'
import { useAsked, type Asked } from './use-stations.ts'

const said: Readonly<Record<StationState, string>> = {
  'not-started': 'not started',
  attention: 'needs attention',
  ready: 'ready',
}

/** The stations in the order of the work. Filled dot: ready; half: needs attention; ring: not started. */
export function StationsRow() {
  const place = useSession((s) => s.place)
  const around = useRef<HTMLElement>(null)
  useEffect(() => {
    const nav = around.current
    const current = nav?.querySelector<HTMLElement>('[aria-current=page]')
    if (!nav || !current) return
    const [row, link] = [nav.getBoundingClientRect(), current.getBoundingClientRect()]
    nav.scrollLeft += link.left + link.width / 2 - (row.left + row.width / 2)
  }, [place])
  return (
    <nav className="stations" aria-label="Stations" ref={around}>
      <Stations place={place} asked={useAsked()} />
    </nav>
  )
}

const Stations = memo(function Stations({ place, asked }: { readonly place: Place; readonly asked: Asked }) {
  return (
    <ol>
      {stationList.map((station) => {
        const state = station.state(asked.record, asked.session)
        return (
          <li key={station.name}>
            <a
              href={`#/${station.name}`}
              aria-current={place === station.name ? 'page' : undefined}
              onClick={(event) => {
                if (event.ctrlKey || event.metaKey || event.shiftKey) return
                event.preventDefault()
                goTo(station.name)
              }}
            >
              <StateDot state={state} />
              <span data-label={station.label}>{station.label}</span>
              <span className="only-read-aloud">, {said[state]}</span>
            </a>
          </li>
        )
      })}
    </ol>
  )
})

function StateDot({ state }: { state: StationState }) {
  return (
    <svg className={`dot dot-${state}`} viewBox="0 0 10 10" width="9" height="9" aria-hidden="true">
      {state === 'ready' && <circle cx="5" cy="5" r="4.4" fill="currentColor" />}
      {state === 'attention' && <path d="M5 .9 a4.1 4.1 0 0 0 0 8.2 z" fill="currentColor" />}
      {state !== 'ready' && <circle cx="5" cy="5" r="4" fill="none" stroke="currentColor" strokeWidth="1.1" />}
    </svg>
  )
}
