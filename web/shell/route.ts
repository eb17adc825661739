import { isOpen, recordStore } from '../record/store.ts'
import { sessionStore, setSession, type Place } from '../record/session.ts'
import { stationNamed } from '../stations/registry.ts'

/** The place an address names: `#/marks`. Unknown ones lead to the welcome page, and so do stations while no record is open. */
export function placeOf(hash: string, open: boolean): Place {
  const name = hash.replace(/^#\/?/, '').split(/[?/]/)[0] ?? ''
  if (name === 'about' || name === 'kept') return name
  const station = stationNamed(name)
  return station && open ? station.name : 'welcome'
}

const hashOf = (place: Place): string => (place === 'welcome' ? '#/' : `#/${place}`)

/** Goes to a place; back returns. `instead`: takes the place of the present address. */
export function goTo(place: Place, how: 'after' | 'instead' = 'after'): void {
  if (how === 'instead') {
    history.replaceState(null, '', hashOf(place))
    follow()
  } else if (location.hash !== hashOf(place)) location.hash = hashOf(place)
  else follow()
}

/** Shows the place that the address names now. */
export function follow(): void {
  const place = placeOf(location.hash, isOpen(recordStore.getState()))
  if (place !== sessionStore.getState().place) setSession({ place })
}

/** What the address asks for at start: the demo has a stable address, `?demo` or `#/demo`; `?demo=empty` is the practice record. */
export function demoAsked(search: string, hash: string): 'demo' | 'practice' | undefined {
  const query = new URLSearchParams(search).get('demo')
  if (query === 'empty' || /^#\/demo\/empty\b/.test(hash)) return 'practice'
  if (query !== null || /^#\/demo\b/.test(hash)) return 'demo'
  return undefined
}
