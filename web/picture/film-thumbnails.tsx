import { useEffect, useRef, useState } from 'react'
import type { Clip } from '../../workers/record/index.ts'
import { openClipOf, useClipState } from './current-clip.ts'
import { showFrame } from './frame-keys.ts'
import { displayedSize, turnMatrix, wholeTurn } from './orientation.ts'
import './thumbnails.css'

/** Height of a thumbnail [CSS px]; as many as fit stand side by side. */
const height = 44
const most = 24

/** Small pictures along the film, spread evenly: pressing one shows its frame. Each shows the nearest frame that is quickly at hand. */
export function FilmThumbnails({ clip, frame }: { readonly clip: Clip; readonly frame: number }) {
  const strip = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState(0)
  const state = useClipState()
  const isOpen = state.kind === 'open' && state.clipId === clip.id
  useEffect(() => {
    const element = strip.current
    if (!element) return
    const observer = new ResizeObserver(() => setWidth(element.clientWidth))
    observer.observe(element)
    setWidth(element.clientWidth)
    return () => observer.disconnect()
  }, [])
  const turn = wholeTurn(clip.rotation, clip.turn)
  const shown = displayedSize(clip, turn)
  const each = Math.max(24, Math.round((height * shown.width) / shown.height))
  const count = width > 0 ? Math.max(1, Math.min(most, clip.frames, Math.floor(width / (each + 2)))) : 0
  const frames = thumbnailFrames(clip.frames, count)
  const near = frames.reduce((best, f) => (Math.abs(f - frame) < Math.abs(best - frame) ? f : best), frames[0] ?? 0)
  return (
    <div ref={strip} className="thumbnails" role="group" aria-label="Frames of the clip" style={{ minHeight: height }}>
      {isOpen &&
        frames.map((f) => (
          <button
            key={f}
            type="button"
            className={f === near ? 'thumbnail near' : 'thumbnail'}
            aria-label={`Show frame ${f}`}
            tabIndex={f === near ? 0 : -1}
            onClick={() => showFrame(f)}
          >
            <Thumbnail clip={clip} frame={f} width={each} />
          </button>
        ))}
    </div>
  )
}

/** The middle frame of each of `count` equal parts of a clip. */
export const thumbnailFrames = (frames: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => Math.min(frames - 1, Math.floor(((i + 0.5) * frames) / count)))

function Thumbnail({ clip, frame, width }: { clip: Clip; frame: number; width: number }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const { id, rotation, turn: turned } = clip
  useEffect(() => {
    const open = openClipOf(id)
    if (!open) return
    const mine = new AbortController()
    const dense = Math.min(2, devicePixelRatio)
    const turn = wholeTurn(rotation, turned)
    const wanted_px = Math.round(dense * (turn % 180 === 0 ? width : height))
    open.glance(frame, wanted_px, { signal: mine.signal }).then(
      (outcome) => {
        if (outcome.kind !== 'glance') return
        const { image } = outcome
        const target = canvas.current
        if (!mine.signal.aborted && target) {
          const coded = { width: image.width, height: image.height }
          const size = displayedSize(coded, turn)
          target.width = size.width
          target.height = size.height
          const context = target.getContext('2d')
          const [a, b, c, d, e, f] = turnMatrix(coded, turn)
          if (open.facts.mirrored) context?.setTransform(-a, b, -c, d, size.width - e, f)
          else context?.setTransform(a, b, c, d, e, f)
          context?.drawImage(image, 0, 0)
        }
        image.close()
      },
      (cause: unknown) => {
        // A thumbnail that does not come leaves its place empty; the picture itself says what is wrong with a clip.
        if (!mine.signal.aborted) console.warn(`no thumbnail of frame ${frame}`, cause)
      },
    )
    return () => mine.abort()
  }, [id, rotation, turned, frame, width])
  return <canvas ref={canvas} aria-hidden="true" style={{ width, height }} />
}
