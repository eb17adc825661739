import { useEffect, useId, useLayoutEffect, useRef, type KeyboardEvent, type ReactNode } from 'react'
import { Loupe } from './loupe.tsx'
import { HandleMark, OverlayLayer } from './overlay-layer.tsx'
import type { OverlayItem, PictureTool } from './overlay.ts'
import { aimAt, setStage, shownAt, takeLoupe, usePicture } from './picture-store.ts'
import { raster } from './raster.ts'
import { isFitted, toStage } from './sight.ts'
import { stageKey } from './stage-keys.ts'
import { useFrames } from './frame-store.ts'
import { useStagePointers } from './use-stage-pointers.ts'
import './picture.css'

interface Props {
  /** Accessible name: which clip and frame. */
  readonly label: string
  readonly items: readonly OverlayItem[]
  readonly tool: PictureTool
  readonly colour: string
  /** Where the loupe rests when nothing is being placed. */
  readonly rest?: { readonly x: number; readonly y: number } | null
  /** Shown in place of the footage: why there is none and what to do. */
  readonly instead?: ReactNode
}

/** The stage on which the picture lies: footage, overlays, handles and the loupe. */
export function Stage({ label, items, tool, colour, rest = null, instead }: Props) {
  const stage = useRef<HTMLDivElement>(null)
  const host = useRef<HTMLDivElement>(null)
  const size = usePicture((s) => s.stage)
  const sight = usePicture((s) => s.sight)
  const picture = usePicture((s) => s.picture)
  const drag = usePicture((s) => s.drag)
  const waiting = useFrames((s) => s.waiting)
  const shownFrame = useFrames((s) => s.shown?.frame)
  const says = useId()
  useStagePointers(stage, tool)

  useLayoutEffect(() => {
    host.current?.append(raster)
  }, [])
  useEffect(() => {
    const element = stage.current
    if (!element) return
    const measure = () => setStage({ width: element.clientWidth, height: element.clientHeight })
    measure()
    const observer = new ResizeObserver(measure)
    observer.observe(element)
    return () => observer.disconnect()
  }, [])

  const places = tool.place !== undefined
  useEffect(() => {
    // What was being placed is done or given up: the loupe goes away with it.
    if (!places) {
      takeLoupe(false)
      aimAt(null, 'mouse')
    }
  }, [places])

  const onKeyDown = (event: KeyboardEvent) => {
    if (!stageKey(event, tool)) return
    event.preventDefault()
    event.stopPropagation()
  }
  const ratio = picture ? picture.width / picture.height : 16 / 9
  return (
    <div
      ref={stage}
      className={stageClass(places, picture !== null && !isFitted(sight, picture, size))}
      style={{ aspectRatio: `${ratio}`, maxWidth: `calc(var(--stage-height) * ${ratio})` }}
      role="application"
      aria-label={label}
      aria-describedby={says}
      aria-busy={waiting}
      data-shown-frame={shownFrame ?? undefined}
      tabIndex={0}
      onKeyDown={onKeyDown}
      onContextMenu={(event) => event.preventDefault()}
    >
      <div
        ref={host}
        className={sight.scale > 6 ? 'raster-host pixels' : 'raster-host'}
        style={{
          transform: `translate(${sight.x}px, ${sight.y}px) scale(${sight.scale})`,
          visibility: instead ? 'hidden' : 'visible',
        }}
      />
      {instead && <div className="instead">{instead}</div>}
      <OverlayLayer items={items} sight={sight} stage={size} />
      <svg className="handles" width={size.width} height={size.height}>
        {tool.handles.map((handle) => (
          <HandleMark
            key={handle.id}
            handle={handle}
            at={toStage(sight, shownAt(drag, handle.id, handle.at))}
            onFocus={() => tool.onSelect?.(handle.id)}
          />
        ))}
      </svg>
      <Loupe colour={colour} rest={rest} />
      {waiting && (
        <span className="waiting" aria-hidden="true">
          fetching the frame …
        </span>
      )}
      <span id={says} className="only-read-aloud">
        {tool.says}
        {tool.place && ' Press L to take up the loupe: arrows move it, Enter places, Escape puts it away.'}
      </span>
    </div>
  )
}

const stageClass = (places: boolean, zoomed: boolean): string =>
  ['stage', places && 'placing', zoomed && 'zoomed'].filter(Boolean).join(' ')
