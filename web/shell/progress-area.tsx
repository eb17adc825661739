import { useEffect, useState } from 'react'
import { spanOf } from '../format/when.ts'
import { paceOf, useWorks, type Work } from './progress.ts'

/** Long work at the foot of the page: how far, how fast, how long still, and the way out. */
export function ProgressArea() {
  const works = useWorks()
  if (works.length === 0) return null
  return (
    <section className="works" aria-label="Work in progress">
      {works.map((work) => (
        <OneWork key={work.id} work={work} />
      ))}
    </section>
  )
}

function OneWork({ work }: { work: Work }) {
  const [now_ms, setNow] = useState(() => performance.now())
  useEffect(() => {
    const timer = setInterval(() => setNow(performance.now()), 500)
    return () => clearInterval(timer)
  }, [])
  const { fraction, rate_per_s, left_s } = paceOf(work, now_ms)
  return (
    <div className="work">
      <span className="work-name">{work.name}</span>
      <progress aria-label={work.name} max={1} {...(fraction === null ? {} : { value: fraction })} />
      <span className="quiet">
        {[
          work.total > 0
            ? `${Math.round(work.done)} of ${Math.round(work.total)} ${work.unit}`
            : `${Math.round(work.done)} ${work.unit}`,
          rate_per_s === null
            ? null
            : `${rate_per_s < 10 ? rate_per_s.toFixed(1) : Math.round(rate_per_s)} ${work.unit}/s`,
          left_s === null ? null : `${spanOf(left_s)} left`,
        ]
          .filter((part) => part !== null)
          .join(', ')}
      </span>
      {work.cancel && (
        <button type="button" className="button" onClick={work.cancel}>
          Cancel
        </button>
      )}
    </div>
  )
}
