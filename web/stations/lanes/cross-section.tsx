import { whyItDoesNotRide } from '../../../workers/physics/sentences.ts'
import type { Ball, Guide } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { crossSection, type Spot } from './cross-section-lines.ts'
import { riding, ridingFigures, type RidingFigure } from './riding.ts'

/** The ball in its guide, live: contact points, rolling radius, inertia factor, turns per metre; or why it cannot ride there. */
export function CrossSectionSheet({ guide, ball }: { guide: Guide; ball: Ball }) {
  const record = useRecord((r) => r)
  const { shape, ball: body, geometry } = riding(record, guide, ball)
  if (geometry.kind !== 'rides') return <p className="damage">{whyItDoesNotRide(geometry)}</p>
  const figures = ridingFigures(record, guide, ball)
  const drawn = crossSection(shape, body, geometry)
  const spots: Spot[] = [
    ...drawn.lines.flat(),
    ...drawn.rounds.flatMap(({ at, radius }) => [
      { x: at.x - radius, y: at.y - radius },
      { x: at.x + radius, y: at.y + radius },
    ]),
    { x: drawn.centre.x - drawn.radius, y: drawn.centre.y - drawn.radius },
    { x: drawn.centre.x + drawn.radius, y: drawn.centre.y + drawn.radius },
  ]
  const left = Math.min(...spots.map((p) => p.x))
  const right = Math.max(...spots.map((p) => p.x))
  const low = Math.min(...spots.map((p) => p.y))
  const high = Math.max(...spots.map((p) => p.y))
  const width = 300
  const scale = Math.min((width - 20) / (right - left), 190 / (high - low))
  const height = (high - low) * scale + 20
  const x = (p: Spot) => width / 2 + (p.x - (left + right) / 2) * scale
  const y = (p: Spot) => 10 + (high - p.y) * scale
  const d = (line: readonly Spot[]) =>
    line.map((p, i) => `${i === 0 ? 'M' : 'L'}${x(p).toFixed(1)} ${y(p).toFixed(1)}`).join('')
  const [first, second] = drawn.contacts
  const foot: Spot | undefined =
    first && (second ? { x: (first.x + second.x) / 2, y: (first.y + second.y) / 2 } : first)
  return (
    <div className="cross-section">
      <svg
        viewBox={`0 0 ${width} ${height.toFixed(0)}`}
        role="img"
        aria-label={`Cross-section: the ball touches at ${geometry.contacts.length === 2 ? 'two points' : 'one point'}, rolling radius ${showPlain(1000 * geometry.rollingRadius_m, 4)} mm`}
      >
        {drawn.lines.map((line, i) => (
          <path key={i} className="guide-line" d={d(line)} />
        ))}
        {drawn.rounds.map(({ at, radius }, i) => (
          <circle key={i} className="guide-line" cx={x(at)} cy={y(at)} r={radius * scale} />
        ))}
        <circle className="ball-line" cx={x(drawn.centre)} cy={y(drawn.centre)} r={drawn.radius * scale} />
        {first && second && <path className="axis-line" d={d([first, second])} />}
        {foot && (
          <>
            <path className="radius-line" d={d([drawn.centre, foot])} />
            <text x={x(drawn.centre) + 7} y={(y(drawn.centre) + y(foot)) / 2 + 4}>
              r
              <tspan dy="3" fontSize="8">
                e
              </tspan>
            </text>
          </>
        )}
        <path
          className="radius-line"
          d={`M${x(drawn.centre) - 4} ${y(drawn.centre)}h8M${x(drawn.centre)} ${y(drawn.centre) - 4}v8`}
        />
        {drawn.contacts.map((p, i) => (
          <circle key={i} className="contact-spot" cx={x(p)} cy={y(p)} r="3.2" />
        ))}
      </svg>
      {figures && (
        <dl className="facts">
          <Row name="rolling radius" figure={figures.rollingRadius_m} scale={1000} unit="mm" />
          <Row name="inertia factor k" figure={figures.k} scale={1} unit="" />
          <Row name="turns per metre" figure={figures.turnsPerMetre} scale={1} unit="" />
          <div>
            <dt>of its energy turns</dt>
            <dd>{showPlain(100 * figures.rotationalShare, 3)} %</dd>
          </div>
        </dl>
      )}
    </div>
  )
}

function Row({ name, figure, scale, unit }: { name: string; figure: RidingFigure; scale: number; unit: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        <ValueU value={figure.value * scale} U={figure.u === null ? null : 2 * figure.u * scale} unit={units.one} />
        {unit && ` ${unit}`}
        {figure.u === null && <span className="quiet"> at its limits the ball would not ride</span>}
      </dd>
    </div>
  )
}
