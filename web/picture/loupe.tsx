import { useEffect, useRef } from 'react'
import { loupePlace } from './loupe-place.ts'
import { clamp, usePicture } from './picture-store.ts'
import { raster } from './raster.ts'
import { toStage } from './sight.ts'
import { useFrames } from './frame-store.ts'

/** Radius of the loupe [CSS px]; smaller where the stage itself is small. */
const radiusOn = (stageWidth: number): number => (stageWidth < 480 ? 60 : 78)

interface Props {
  readonly colour: string
  /** Shown when nothing is being placed: beside the selected mark. */
  readonly rest: { readonly x: number; readonly y: number } | null
}

/** A magnified round window beside the point, clear of the hand, with the point's place in picture px. */
export function Loupe({ colour, rest }: Props) {
  const shown = useFrames((s) => s.shown !== null)
  // Without a frame there is nothing to look at, unless somebody is placing by keys.
  const aim = usePicture((s) => s.drag?.to ?? s.aim) ?? (shown ? rest : null)
  const stage = usePicture((s) => s.stage)
  const sight = usePicture((s) => s.sight)
  const pointing = usePicture((s) => s.pointing)
  const inHand = usePicture((s) => s.inHand)
  const drawn = useFrames((s) => s.drawn)
  const canvas = useRef<HTMLCanvasElement>(null)
  const radius = radiusOn(stage.width)
  // On a small stage the whole ball should still be seen in the loupe.
  const magnify = clamp(sight.scale * 3.5, radius < 70 ? 2.8 : 4, 24)

  useEffect(() => {
    const element = canvas.current
    if (!element || !aim) return
    const ratio = Math.min(window.devicePixelRatio || 1, 3)
    const side = Math.round(2 * radius * ratio)
    if (element.width !== side) {
      element.width = side
      element.height = side
    }
    const context = element.getContext('2d')
    if (!context) return
    const scale = magnify * ratio
    context.setTransform(1, 0, 0, 1, 0, 0)
    context.fillStyle = '#000'
    context.fillRect(0, 0, side, side)
    context.imageSmoothingEnabled = magnify < 12
    context.imageSmoothingQuality = 'high'
    context.setTransform(scale, 0, 0, scale, side / 2 - scale * aim.x, side / 2 - scale * aim.y)
    context.drawImage(raster, 0, 0)
  }, [aim, radius, magnify, drawn])

  if (!aim || stage.width === 0) return null
  const on = toStage(sight, aim)
  const centre = loupePlace(on, stage, radius, pointing)
  return (
    <div
      className={inHand ? 'loupe in-hand' : 'loupe'}
      style={{ left: centre.x - radius, top: centre.y - radius, width: 2 * radius, height: 2 * radius }}
    >
      <canvas ref={canvas} aria-hidden="true" style={{ width: 2 * radius, height: 2 * radius }} />
      <svg width={2 * radius} height={2 * radius} aria-hidden="true">
        <path className="casing" d={hair(radius)} />
        <path className="stroke" stroke={colour} d={hair(radius)} />
      </svg>
      <output className="loupe-place" aria-live={inHand ? 'polite' : 'off'}>
        {aim.x.toFixed(1)}, {aim.y.toFixed(1)} px
      </output>
    </div>
  )
}

const hair = (r: number): string =>
  `M${r - 34} ${r}H${r - 10}M${r + 10} ${r}H${r + 34}M${r} ${r - 34}V${r - 10}M${r} ${r + 10}V${r + 34}`
