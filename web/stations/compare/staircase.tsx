import { useEffect, useMemo, useState, useSyncExternalStore } from 'react'
import { arrivals, wayAt, type Arrival } from '../../../workers/decide/staircase.ts'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { laneStroke } from '../../picture/lane-stroke.ts'
import { useRecord } from '../../record/store.ts'

/**
 * All lanes let go at once: one row an arrival, the earliest on top, each as long as its time. Played, every ball goes its own way and the time line meets
 * it where it arrives. Large enough to be read from across a workshop.
 */
export function Staircase({ results }: { readonly results: readonly LaneResult[] }) {
  const record = useRecord((r) => r)
  const rows = useMemo(() => arrivals(results), [results])
  const last_s = Math.max(...rows.map((row) => row.time.value + row.time.U), 0)
  const still = useReducedMotion()
  const { time_s, playing, toggle } = usePlayed(last_s)
  if (rows.length < 2) return null
  return (
    <section className="staircase" aria-labelledby="staircase-title">
      <header>
        <h3 id="staircase-title">Arrival staircase</h3>
        <p className="quiet">
          All let go at once, each at the speed it was filmed with at the entry; seconds to the exit.
        </p>
        {!still && (
          <button type="button" className="button" onClick={toggle}>
            {playing ? 'Stop' : 'Play'}
          </button>
        )}
      </header>
      <ol>
        {rows.map((row) => (
          <Stair
            key={`${row.laneId} ${row.finishId}`}
            row={row}
            last_s={last_s}
            time_s={time_s}
            finish={record.finishes[row.finishId]?.name ?? ''}
            colour={laneStroke(record, row.laneId).colour}
          />
        ))}
      </ol>
    </section>
  )
}

function Stair({
  row,
  last_s,
  time_s,
  finish,
  colour,
}: {
  readonly row: Arrival
  readonly last_s: number
  readonly time_s: number | null
  readonly finish: string
  readonly colour: string
}) {
  const share = (row.time.value / last_s) * 100
  const arrived = time_s === null || time_s >= row.time.value
  const ball = time_s === null ? 1 : wayAt(row, time_s) / row.length_m
  return (
    <li style={{ color: colour }}>
      <span className="stair-name">
        <LaneChip laneId={row.laneId} />
        <span className="quiet">
          {finish}
          {row.scatter_s !== null && `, ± ${showPlain(row.scatter_s, 2)} s ball to ball`}
        </span>
      </span>
      <span className="stair-track">
        <span className="stair-tread" style={{ width: `${share}%` }}>
          <span className="stair-ball" style={{ left: `${Math.min(1, ball) * 100}%` }} aria-hidden="true" />
        </span>
        {time_s !== null && (
          <span className="stair-now" style={{ left: `${(time_s / last_s) * 100}%` }} aria-hidden="true" />
        )}
      </span>
      <span className={arrived ? 'stair-time' : 'stair-time not-yet'}>
        {showValue(row.time.value, 0.1).value}
        <small> s</small>
      </span>
    </li>
  )
}

/** Time since all were let go, while playing; null when the picture stands. */
function usePlayed(last_s: number): {
  readonly time_s: number | null
  readonly playing: boolean
  readonly toggle: () => void
} {
  const [time_s, setTime] = useState<number | null>(null)
  const playing = time_s !== null
  useEffect(() => {
    if (!playing) return
    let frame = 0
    const start = performance.now()
    const tick = (now: number) => {
      const at = (now - start) / 1000
      setTime(at > last_s + 0.6 ? null : Math.min(at, last_s))
      frame = requestAnimationFrame(tick)
    }
    frame = requestAnimationFrame(tick)
    return () => cancelAnimationFrame(frame)
  }, [playing, last_s])
  return { time_s, playing, toggle: () => setTime(playing ? null : 0) }
}

const motion = matchMedia('(prefers-reduced-motion: reduce)')
function useReducedMotion(): boolean {
  return useSyncExternalStore(
    (changed) => {
      motion.addEventListener('change', changed)
      return () => motion.removeEventListener('change', changed)
    },
    () => motion.matches,
  )
}
