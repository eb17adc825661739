import { memo, useEffect, useRef, useState, type KeyboardEvent, type PointerEvent } from 'react'
import { ruledBy } from './ruled-by.ts'
import { frameOnRuler, gaps, onRuler, rulerFrames } from './ruler-scale.ts'

export interface RulerMarks {
  readonly id: string
  readonly frames: readonly number[]
  readonly colour: string
  /** The run at work stands out from the others. */
  readonly current: boolean
  /** Row of its lane, 0 nearest to the line. */
  readonly row: number
}

interface Props {
  readonly frames: number
  readonly frame: number
  readonly onFrame: (frame: number) => void
  /** Time of a frame as text with its unit, by the time rule that holds. */
  readonly timeOf: (frame: number) => string
  readonly runs: readonly RulerMarks[]
  readonly trim: { readonly first: number; readonly last: number } | null
}

const height = 46
const edge = 8

/** The strip under the picture: frames, seconds, marks and gaps; pressing or dragging shows that frame. */
export function FilmRuler({ frames, frame, onFrame, timeOf, runs, trim }: Props) {
  const strip = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState(0)
  useEffect(() => {
    const element = strip.current
    if (!element) return
    const observer = new ResizeObserver(() => setWidth(element.clientWidth))
    observer.observe(element)
    setWidth(element.clientWidth)
    return () => observer.disconnect()
  }, [])

  const run = Math.max(1, width - 2 * edge)
  const x = (f: number) => edge + run * onRuler(f, frames)
  const scrub = (event: PointerEvent<HTMLElement>) => {
    const box = event.currentTarget.getBoundingClientRect()
    onFrame(frameOnRuler((event.clientX - box.left - edge) / run, frames))
  }
  const onKeyDown = (event: KeyboardEvent) => {
    const to = ruledBy(event, frame, frames)
    if (to === null) return
    event.preventDefault()
    event.stopPropagation()
    onFrame(to)
  }
  const current = runs.find((r) => r.current)
  return (
    <div
      ref={strip}
      className="film-ruler"
      role="slider"
      tabIndex={0}
      aria-label="Film ruler"
      aria-valuemin={0}
      aria-valuemax={Math.max(0, frames - 1)}
      aria-valuenow={frame}
      aria-valuetext={`frame ${frame} of ${frames}, ${timeOf(frame)}`}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        if (event.button !== 0) return
        event.currentTarget.setPointerCapture(event.pointerId)
        scrub(event)
      }}
      onPointerMove={(event) => {
        if (event.currentTarget.hasPointerCapture(event.pointerId)) scrub(event)
      }}
    >
      <svg width={width} height={height} aria-hidden="true">
        <path className="ruler-line" d={`M${edge} 20.5H${width - edge}`} />
        {trim && (
          <>
            <rect className="trimmed" x={edge} y={12} width={Math.max(0, x(trim.first) - edge)} height={17} />
            <rect
              className="trimmed"
              x={x(trim.last)}
              y={12}
              width={Math.max(0, width - edge - x(trim.last))}
              height={17}
            />
          </>
        )}
        {current && <Gaps frames={current.frames} of={frames} run={run} />}
        {runs.map((r) => (
          <RunMarks
            key={r.id}
            frames={r.frames}
            colour={r.colour}
            current={r.current}
            row={r.row}
            of={frames}
            run={run}
          />
        ))}
        {rulerFrames(frames, run).map((f) => (
          <g key={f}>
            <path className="ruler-line" d={`M${Math.round(x(f)) + 0.5} 20V25`} />
            <text
              className="ruler-text"
              x={x(f)}
              y={40}
              textAnchor={f === 0 ? 'start' : x(f) > width - 40 ? 'end' : 'middle'}
            >
              {f} · {timeOf(f)}
            </text>
          </g>
        ))}
        <path className="ruler-now" d={`M${x(frame)} 4V30`} />
        <path className="ruler-grip" d={`M${x(frame) - 5} 2H${x(frame) + 5}L${x(frame)} 10Z`} />
      </svg>
    </div>
  )
}

interface OnRuler {
  /** Frames that carry marks: the same list for as long as no mark comes or goes. */
  readonly frames: readonly number[]
  /** Frames of the clip, and the ruler's length [CSS px]. */
  readonly of: number
  readonly run: number
}

const at = (f: number, { of, run }: OnRuler): number => edge + run * onRuler(f, of)

/** Frames inside the run at work that carry no mark. */
const Gaps = memo(function Gaps(ruler: OnRuler) {
  return gaps(ruler.frames).map(([from, to]) => (
    <rect
      key={from}
      className="gap"
      x={at(from, ruler) - 1}
      y={23}
      width={Math.max(3, at(to, ruler) - at(from, ruler) + 2)}
      height={6}
    />
  ))
})

/** The run at work mark by mark; any other as one stroke from its first mark to its last, in its lane's row. */
const RunMarks = memo(function RunMarks({ colour, current, row, ...ruler }: OnRuler & Omit<RulerMarks, 'id'>) {
  if (current)
    return (
      <path
        className="ruler-marks current"
        stroke={colour}
        d={ruler.frames.map((f) => `M${at(f, ruler).toFixed(1)} 12V20`).join('')}
      />
    )
  const first = ruler.frames[0]
  const last = ruler.frames.at(-1)
  if (first === undefined || last === undefined) return null
  const [from, to] = [at(first, ruler), at(last, ruler)]
  const y = 17.5 - 3.5 * Math.min(row, 4)
  return (
    <path className="ruler-span" stroke={colour} d={`M${from.toFixed(1)} ${y}H${Math.max(from + 1, to).toFixed(1)}`} />
  )
})
