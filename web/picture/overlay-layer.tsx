import { memo } from 'react'
import { assertNever, type Px } from '../../workers/record/index.ts'
import type { OverlayItem, PictureHandle, Tick } from './overlay.ts'
import { toStage, type Sight, type Size } from './sight.ts'

interface Props {
  readonly items: readonly OverlayItem[]
  readonly sight: Sight
  readonly stage: Size
}

/** Everything drawn over the footage, in stage px. Each line has a casing in paper, so that it reads on bright and dark footage alike. */
export const OverlayLayer = memo(function OverlayLayer({ items, sight, stage }: Props) {
  return (
    <svg className="overlay" width={stage.width} height={stage.height} aria-hidden="true">
      {items.map((item) => (
        <Item key={`${item.kind} ${item.id}`} item={item} sight={sight} />
      ))}
    </svg>
  )
})

function Item({ item, sight }: { item: OverlayItem; sight: Sight }) {
  switch (item.kind) {
    case 'line': {
      const points = item.points.map((p) => toStage(sight, p))
      const d = path(points)
      const first = points[0]
      return (
        <g>
          <path d={d} className="casing" />
          <path
            d={d}
            className={item.strong ? 'stroke strong' : 'stroke'}
            stroke={item.stroke.colour}
            strokeDasharray={item.stroke.dash}
          />
          {item.letter && first && (
            <text
              className="letter"
              x={Math.max(4, first.x - 22)}
              y={first.x < 26 ? first.y - 8 : first.y + 5}
              fill={item.stroke.colour}
            >
              {item.letter}
            </text>
          )}
        </g>
      )
    }
    case 'bar': {
      const a = toStage(sight, item.a)
      const b = toStage(sight, item.b)
      const across = unitAcross(a, b)
      const d = `${path([a, b])}${end(a, across)}${end(b, across)}`
      return (
        <g>
          <path d={d} className="casing" />
          <path d={d} className="stroke" stroke="var(--accent)" />
          <text
            className="note"
            textAnchor="middle"
            x={(a.x + b.x) / 2 + across.x * 14}
            y={(a.y + b.y) / 2 + across.y * 14 + 4}
          >
            {item.label}
          </text>
        </g>
      )
    }
    case 'outline': {
      const corners = item.corners.map((p) => toStage(sight, p))
      const d = corners.length > 2 ? `${path(corners)}Z` : path(corners)
      const middle = middleOf(corners)
      return (
        <g>
          <path d={d} className="casing" />
          <path d={d} className="stroke" stroke="var(--accent)" />
          {item.labels.map((label, i) => {
            const a = corners[i]
            const b = corners[(i + 1) % corners.length]
            if (!a || !b || !label) return null
            const side = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 }
            const inward = Math.hypot(middle.x - side.x, middle.y - side.y) || 1
            return (
              <text
                key={label + i}
                className="note"
                textAnchor="middle"
                x={side.x + (52 * (middle.x - side.x)) / inward}
                y={side.y + (34 * (middle.y - side.y)) / inward + 4}
              >
                {label}
              </text>
            )
          })}
        </g>
      )
    }
    case 'arrows': {
      const d = item.arrows.map(({ a, b }) => arrow(toStage(sight, a), toStage(sight, b))).join('')
      return (
        <g>
          <path d={d} className="casing" />
          <path d={d} className="stroke" stroke={item.colour} />
        </g>
      )
    }
    case 'ticks':
      return <Ticks ticks={item.ticks} colour={item.colour} sight={sight} />
    case 'crosses': {
      const d = item.points.map((p) => cross(toStage(sight, p), 2, 5)).join('')
      return (
        <g>
          <path d={d} className="casing thin" />
          <path d={d} className={item.found ? 'stroke fine' : 'stroke'} stroke={item.colour} />
        </g>
      )
    }
    case 'dots': {
      const d = item.points.map((p) => dot(toStage(sight, p))).join('')
      return <path d={d} className={item.found ? 'dots fine' : 'dots'} stroke={item.colour} />
    }
    case 'flags': {
      const d = item.points.map((p) => flag(toStage(sight, p))).join('')
      return (
        <g>
          <path d={d} className="casing thin" />
          <path d={d} className="stroke fine flag-sign" stroke={item.colour} fill={item.colour} />
        </g>
      )
    }
    case 'ring': {
      const at = toStage(sight, item.at)
      const radius = Math.max(9, item.radius_px * sight.scale)
      return (
        <g>
          <circle cx={at.x} cy={at.y} r={radius} className="casing" />
          <circle cx={at.x} cy={at.y} r={radius} className="stroke" stroke={item.colour} strokeDasharray="3 3" />
        </g>
      )
    }
    default:
      return assertNever(item)
  }
}

function Ticks({ ticks, colour, sight }: { ticks: readonly Tick[]; colour: string; sight: Sight }) {
  const placed = ticks.map((tick) => ({ a: toStage(sight, tick.a), b: toStage(sight, tick.b), label: tick.label }))
  const d = placed.map(({ a, b }) => path([a, b])).join('')
  return (
    <g>
      <path d={d} className="casing thin" />
      <path d={d} className="stroke fine" stroke={colour} />
      {placed.map(({ a, b, label }, i) => {
        if (!label) return null
        const beyond = 1 + 9 / Math.max(1, Math.hypot(b.x - a.x, b.y - a.y))
        return (
          <text
            key={i}
            className="note tick-label"
            textAnchor="middle"
            x={a.x + (b.x - a.x) * beyond}
            y={a.y + (b.y - a.y) * beyond + 3}
          >
            {label}
          </text>
        )
      })}
    </g>
  )
}

interface HandleProps {
  readonly handle: PictureHandle
  readonly at: Px
  readonly onFocus: () => void
}

/** A point that can be taken: a fine open cross; reached by Tab, moved by arrows, deleted by Delete. */
export function HandleMark({ handle, at, onFocus }: HandleProps) {
  const d = cross(at, 3, handle.selected ? 13 : 9)
  return (
    <g
      className={handle.selected ? 'handle selected' : 'handle'}
      role="button"
      aria-roledescription="point"
      tabIndex={0}
      data-handle={handle.id}
      aria-label={`${handle.label}, x ${handle.at.x.toFixed(1)}, y ${handle.at.y.toFixed(1)} px`}
      onFocus={onFocus}
    >
      <circle cx={at.x} cy={at.y} r={13} className="grip" />
      <path d={d} className="casing" />
      <path d={d} className={handle.found ? 'stroke fine' : 'stroke'} stroke={handle.colour} />
    </g>
  )
}

/** A stroke of no length with round ends is a dot. */
const dot = (at: Px): string => `M${fixed(at.x)} ${fixed(at.y)}h0`

/** A line with two barbs at its far end; barbs never longer than half of it. */
function arrow(a: Px, b: Px): string {
  const length = Math.hypot(b.x - a.x, b.y - a.y)
  const barb = Math.min(6, length / 2) / (length || 1)
  const [dx, dy] = [(b.x - a.x) * barb, (b.y - a.y) * barb]
  const side = (sense: 1 | -1): Px => ({ x: b.x - dx - sense * 0.5 * dy, y: b.y - dy + sense * 0.5 * dx })
  return path([a, b]) + path([side(1), b, side(-1)])
}

/** A mast over the place and a pennant at its top, clear of the cross below. */
const flag = (at: Px): string => `M${fixed(at.x)} ${fixed(at.y - 7)}v-13l7 3.5l-7 3.5`

const middleOf = (points: readonly Px[]): Px => ({
  x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
  y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
})

const fixed = (value: number): string => value.toFixed(1)
const path = (points: readonly Px[]): string =>
  points.map((p, i) => `${i === 0 ? 'M' : 'L'}${fixed(p.x)} ${fixed(p.y)}`).join('')

/** An open cross: four strokes that leave the middle free, so that the ball's centre is never covered. */
export const cross = (at: Px, inner: number, outer: number): string =>
  `M${fixed(at.x - outer)} ${fixed(at.y)}H${fixed(at.x - inner)}M${fixed(at.x + inner)} ${fixed(at.y)}H${fixed(at.x + outer)}` +
  `M${fixed(at.x)} ${fixed(at.y - outer)}V${fixed(at.y - inner)}M${fixed(at.x)} ${fixed(at.y + inner)}V${fixed(at.y + outer)}`

function unitAcross(a: Px, b: Px): Px {
  const length = Math.hypot(b.x - a.x, b.y - a.y)
  // A bar of no length yet has no direction: its label goes below.
  if (length < 1e-6) return { x: 0, y: 1 }
  const across = { x: -(b.y - a.y) / length, y: (b.x - a.x) / length }
  return across.y < 0 ? { x: -across.x, y: -across.y } : across
}

const end = (at: Px, across: Px): string =>
  `M${fixed(at.x - across.x * 6)} ${fixed(at.y - across.y * 6)}L${fixed(at.x + across.x * 6)} ${fixed(at.y + across.y * 6)}`
