import { useEffect, useMemo, useRef, useState, type KeyboardEvent, type PointerEvent } from 'react'
import { doubtCodes, type Run, type View } from '../../../workers/record/index.ts'
import { useRecord } from '../../record/store.ts'
import { showFrame } from '../frame-keys.ts'
import { laneStroke } from '../lane-stroke.ts'
import { usePicture } from '../picture-store.ts'
import { usePlotTheme } from '../../plots/theme.ts'
import { alongOf } from './along.ts'
import { arcOf, pxLine, type PxLine } from './px-line.ts'
import type { LaneSheet } from './sheet-store.ts'
import { frameAt, pannedTime, zoomedTime, type Window } from './sheet-window.ts'
import { rgbOf, streakPixels } from './streak-pixels.ts'

/** A place on the sheet that a person pressed: frame and arc length [px]. */
export interface SheetPoint {
  readonly frame: number
  readonly s: number
}

interface Props {
  readonly view: View
  readonly laneId: string
  readonly tile: LaneSheet['tile']
  readonly runs: readonly Run[]
  readonly frame: number
  readonly runId: string | null
  readonly height: number
  readonly clicks: readonly SheetPoint[]
  /** Present while a press takes a point of a streak instead of going to its frame. */
  readonly onPoint?: ((point: SheetPoint) => void) | undefined
  readonly onRun: (runId: string) => void
}

/** Presses that move less than this are presses, not drags [CSS px]. */
const still_px = 4
/** A press this near to a run's curve chooses the run [CSS px]. */
const near_px = 6

/** One lane's streak sheet: position across, time down, every passage a curve. Steep is slow. */
export function StreakSheet(props: Props) {
  const { view, laneId, tile, runs, frame, runId, height, clicks, onPoint, onRun } = props
  const record = useRecord((r) => r)
  const sight = usePicture((s) => s.sight)
  const width = usePicture((s) => s.stage.width)
  const theme = usePlotTheme()
  const canvas = useRef<HTMLCanvasElement>(null)
  const line = useMemo(() => pxLine(view, laneId), [view, laneId])
  const whole = useMemo((): Window => ({ from: tile.fromFrame, to: tile.toFrame }), [tile.fromFrame, tile.toFrame])
  const [chosen, setChosen] = useState<Window | null>(null)
  const shown = chosen && chosen.from >= whole.from && chosen.to <= whole.to ? chosen : whole
  const along = useMemo(() => (line ? alongOf(line, sight, width) : null), [line, sight, width])
  const drag = useRef<{ y: number; from: Window; moved: boolean } | null>(null)
  const sheet = useMemo(() => drawnSheet(tile, theme.band, theme.paper), [tile, theme.band, theme.paper])
  const y = (f: number) => ((f + 0.5 - shown.from) / (shown.to - shown.from)) * height
  const curves = useMemo(
    () => (line ? runs.map((run) => ({ run, points: curveOf(run, line), unsure: unsureOf(run, line) })) : []),
    [runs, line],
  )

  useEffect(() => {
    const target = canvas.current
    if (!target || !along || !line) return
    const ratio = window.devicePixelRatio || 1
    target.width = Math.max(1, Math.round(width * ratio))
    target.height = Math.max(1, Math.round(height * ratio))
    const to = target.getContext('2d')
    if (!to) return
    to.fillStyle = theme.paper
    to.fillRect(0, 0, target.width, target.height)
    to.imageSmoothingEnabled = true
    const rowsPerFrame = tile.height / (tile.toFrame - tile.fromFrame)
    const [x0, x1] = [along.toX(tile.fromArc), along.toX(tile.toArc)]
    const top = (shown.from - tile.fromFrame) * rowsPerFrame
    const rows = (shown.to - shown.from) * rowsPerFrame
    if (x1 < x0) {
      to.translate(target.width, 0)
      to.scale(-1, 1)
    }
    const left = x1 < x0 ? width - x0 : x0
    to.drawImage(sheet, 0, top, tile.width, rows, left * ratio, 0, Math.abs(x1 - x0) * ratio, target.height)
  }, [along, line, sheet, tile, shown, width, height, theme])

  useEffect(() => {
    const target = canvas.current
    if (!target) return
    // React listens passively; a wheel that zooms must keep the page where it is.
    const wheel = (event: WheelEvent) => {
      if (!event.ctrlKey && !event.shiftKey) return
      event.preventDefault()
      const at = (event.clientY - target.getBoundingClientRect().top) / height
      setChosen((before) => zoomedTime(before ?? whole, Math.exp(0.0016 * event.deltaY), at, whole))
    }
    target.addEventListener('wheel', wheel, { passive: false })
    return () => target.removeEventListener('wheel', wheel)
  }, [whole, height])

  if (!line || !along) return null
  const place = (event: PointerEvent<HTMLElement>) => {
    const box = event.currentTarget.getBoundingClientRect()
    return { x: event.clientX - box.left, y: event.clientY - box.top }
  }
  const press = (at: { x: number; y: number }) => {
    const point = { frame: frameAt(shown, at.y / height), s: along.toArc(at.x) }
    if (onPoint) return onPoint(point)
    const hit = curves.find(({ points }) =>
      points.some(([f, s]) => Math.hypot(along.toX(s) - at.x, y(f) - at.y) < near_px),
    )
    if (hit) onRun(hit.run.id)
    showFrame(point.frame)
  }
  const onKeyDown = (event: KeyboardEvent) => {
    const zoom = event.key === '+' || event.key === '=' ? 0.7 : event.key === '-' ? 1 / 0.7 : null
    const at = (frame - shown.from) / (shown.to - shown.from)
    if (zoom !== null) setChosen(zoomedTime(shown, zoom, Math.min(1, Math.max(0, at)), whole))
    else if (event.key === 'ArrowDown' || event.key === 'ArrowUp')
      showFrame(frame + (event.key === 'ArrowDown' ? 1 : -1))
    else return
    event.preventDefault()
  }
  const stroke = laneStroke(record, laneId)
  const key = record.lanes[laneId]?.key ?? '?'
  return (
    <div
      className={onPoint ? 'streak-sheet pointing' : 'streak-sheet'}
      style={{ height }}
      role="application"
      tabIndex={0}
      aria-label={`Streak sheet of lane ${key}: ${runs.length} runs; position across, time down, frames ${Math.round(shown.from)} to ${Math.round(shown.to) - 1}. Arrow up and down step, plus and minus zoom.`}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId)
        drag.current = { y: event.clientY, from: shown, moved: false }
      }}
      onPointerMove={(event) => {
        const start = drag.current
        if (!start) return
        if (Math.abs(event.clientY - start.y) > still_px) start.moved = true
        if (!start.moved || onPoint) return
        const zoomedIn = shown.to - shown.from < whole.to - whole.from
        if (zoomedIn) {
          const frames = ((start.y - event.clientY) / height) * (start.from.to - start.from.from)
          setChosen(pannedTime(start.from, frames, whole))
        } else showFrame(frameAt(shown, place(event).y / height))
      }}
      onPointerUp={(event) => {
        const start = drag.current
        drag.current = null
        if (start && !start.moved) press(place(event))
      }}
      onPointerCancel={() => (drag.current = null)}
    >
      <canvas ref={canvas} style={{ width, height }} aria-hidden="true" />
      <svg width={width} height={height} aria-hidden="true" style={{ color: stroke.colour }}>
        {curves.map(({ run, points }) => (
          <polyline
            key={run.id}
            className={run.id === runId ? 'streak-run current' : 'streak-run'}
            points={points.map(([f, s]) => `${along.toX(s).toFixed(1)},${y(f).toFixed(1)}`).join(' ')}
          />
        ))}
        {curves.map(({ run, unsure }) => (
          <path
            key={run.id}
            className="streak-unsure"
            d={unsure.map(([f, s]) => `M${(along.toX(s) + 4).toFixed(1)} ${y(f).toFixed(1)}h5`).join('')}
          />
        ))}
        <path className="streak-now" d={`M0 ${y(frame)} H${width}`} />
        {clicks.map((click, i) => (
          <circle key={i} className="streak-click" cx={along.toX(click.s)} cy={y(click.frame)} r="5" />
        ))}
        <text className="streak-letter" x="8" y="16">
          {key}
        </text>
      </svg>
    </div>
  )
}

/** A run as points of its sheet, thinned to what can be seen. */
function curveOf(run: Run, line: PxLine): (readonly [number, number])[] {
  const { frame, x, y } = run.marks
  const every = Math.max(1, Math.floor(frame.length / 160))
  return frame.flatMap((f, i) =>
    i % every === 0 || i === frame.length - 1 ? [[f, arcOf(line, x[i]!, y[i]!)] as const] : [],
  )
}

const accepted = doubtCodes.indexOf('accepted')

/** Where a run wants a look. Runs left out of the results want none. */
function unsureOf(run: Run, line: PxLine): (readonly [number, number])[] {
  const { frame, x, y, doubt } = run.marks
  if (run.excluded) return []
  return frame.flatMap((f, i) =>
    doubt[i]! > 0 && doubt[i] !== accepted ? [[f, arcOf(line, x[i]!, y[i]!)] as const] : [],
  )
}

function drawnSheet(tile: LaneSheet['tile'], ground: string, unread: string): HTMLCanvasElement {
  const canvas = document.createElement('canvas')
  canvas.width = tile.width
  canvas.height = tile.height
  const pixels = streakPixels(tile.value, { ground: rgbOf(ground), unread: rgbOf(unread) })
  canvas.getContext('2d')?.putImageData(new ImageData(pixels, tile.width, tile.height), 0, 0)
  return canvas
}
