import type { Px } from '../../workers/record/index.ts'

/** Where the picture lies on the stage: stage point [CSS px] = scale × picture point [px] + offset. */
export interface Sight {
  readonly scale: number
  readonly x: number
  readonly y: number
}

export interface Size {
  readonly width: number
  readonly height: number
}

/** One picture pixel never grows beyond this many CSS px: a 0.1 px nudge is then well seen. */
export const greatestScale = 40

/** The whole picture, centred, as large as the stage allows. An empty stage gives scale 1 at the origin. */
export function fitted(picture: Size, stage: Size): Sight {
  if (!(picture.width > 0 && picture.height > 0 && stage.width > 0 && stage.height > 0)) return { scale: 1, x: 0, y: 0 }
  const scale = Math.min(stage.width / picture.width, stage.height / picture.height)
  return { scale, x: (stage.width - scale * picture.width) / 2, y: (stage.height - scale * picture.height) / 2 }
}

export const toStage = (sight: Sight, at: Px): Px => ({
  x: sight.scale * at.x + sight.x,
  y: sight.scale * at.y + sight.y,
})

export const toPicture = (sight: Sight, at: Px): Px => ({
  x: (at.x - sight.x) / sight.scale,
  y: (at.y - sight.y) / sight.scale,
})

/** Scales by `factor` so that the picture point under `at` (stage) stays where it is, between the fitted and the greatest scale. */
export function zoomed(sight: Sight, factor: number, at: Px, picture: Size, stage: Size): Sight {
  const least = fitted(picture, stage).scale
  const scale = Math.min(Math.max(sight.scale * factor, least), Math.max(greatestScale, least))
  const under = toPicture(sight, at)
  return held({ scale, x: at.x - scale * under.x, y: at.y - scale * under.y }, picture, stage)
}

export const panned = (sight: Sight, dx: number, dy: number, picture: Size, stage: Size): Sight =>
  held({ ...sight, x: sight.x + dx, y: sight.y + dy }, picture, stage)

/** Keeps the picture on the stage: centred where it is smaller, without empty borders where it is larger. */
export function held(sight: Sight, picture: Size, stage: Size): Sight {
  return {
    scale: sight.scale,
    x: heldAxis(sight.x, sight.scale * picture.width, stage.width),
    y: heldAxis(sight.y, sight.scale * picture.height, stage.height),
  }
}

function heldAxis(offset: number, length: number, room: number): number {
  if (length <= room) return (room - length) / 2
  return Math.min(0, Math.max(room - length, offset))
}

/** True when the picture is as far out as it goes, so that a wheel turned outward may scroll the page. */
export const isFitted = (sight: Sight, picture: Size, stage: Size): boolean =>
  sight.scale <= fitted(picture, stage).scale * (1 + 1e-9)

/** Moves the sight only as much as needed to bring a picture point inside the stage, `margin` CSS px from its edge. */
export function showing(sight: Sight, at: Px, picture: Size, stage: Size, margin = 40): Sight {
  const on = toStage(sight, at)
  const shift = (value: number, room: number) =>
    value < margin ? margin - value : value > room - margin ? room - margin - value : 0
  return panned(sight, shift(on.x, stage.width), shift(on.y, stage.height), picture, stage)
}
