import { showPlain } from '../../format/value.ts'
import { filmingPoints, typicalRun } from './filming-points.ts'

/** What to do while filming, and what error each point avoids. */
export function FilmingChecklist({ open }: { open: boolean }) {
  return (
    <details className="checklist" open={open}>
      <summary>
        <h2>Filming checklist</h2>
      </summary>
      <p className="small quiet">
        What each point avoids, for a ball at {showPlain(typicalRun.speed_m_s)} m/s that gains{' '}
        {showPlain(typicalRun.acceleration_m_s2)} m/s², {showPlain(typicalRun.distance_m)} m from the camera.
      </p>
      <ol>
        {filmingPoints.map((point) => (
          <li key={point.id}>
            <span>{point.do}</span>
            <span className="avoids">
              {showPlain(point.avoids.percent, 2)} % of {point.avoids.of === 'C_rr' ? <Crr /> : point.avoids.of}
            </span>
            <small className="quiet">{point.because}</small>
          </li>
        ))}
      </ol>
    </details>
  )
}

const Crr = () => (
  <>
    C<sub>rr</sub>
  </>
)
