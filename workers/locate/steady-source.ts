import { codedRect, toCoded, toDisplayed, type Point, type Rect } from '../decode/turn.ts'
import { moved, movedBack } from '../elementary/rigid-motion.ts'
import { pictureMotion, type ShakeTrack } from '../record/index.ts'
import { displayedSize, turnOf, type FrameSource, type Luma } from './frame-source.ts'
import type { LaneLine } from './lane-line.ts'

/** The ways between the steady picture and that of one frame of a clip filmed from the hand, in px of the displayed picture. */
export interface Shaken {
  toFrame(frame: number, place: Point): Point
  toSteady(frame: number, place: Point): Point
}

export function shakenPlaces(track: ShakeTrack): Shaken {
  const motion = pictureMotion(track)
  return {
    toFrame: (frame, place) => moved(motion(frame), track.about, place),
    toSteady: (frame, place) => movedBack(motion(frame), track.about, place),
  }
}

/** How far from a lane's line its band is steadied, px: past the widest band that a search looks at. */
const REACH_PX = 84

/**
 * Frames as a camera at rest would have taken them, around the lanes; elsewhere a plane holds nothing. Cubic convolution (Keys 1981, a = −½) keeps
 * edges where they are: a shift moves them by less than .02 px. One plane is filled again and again.
 */
export function steadySource(source: FrameSource, shaken: Shaken, lanes: readonly LaneLine[]): FrameSource {
  const { storedWidth, storedHeight, rotation } = source
  const turn = turnOf(source)
  const boxes = lanes.map((line) => storedBox(line, source))
  let plane: Luma | undefined
  const steady = (frame: number, luma: Luma): Luma => {
    if (plane?.stride !== luma.stride || plane.bitDepth !== luma.bitDepth) {
      const cells = luma.stride * luma.height
      plane = { ...luma, data: luma.bitDepth > 8 ? new Uint16Array(cells) : new Uint8Array(cells) }
    }
    const from = (column: number, row: number): Point => {
      const shown = toDisplayed(turn, { x: column + 0.5, y: row + 0.5 })
      const { x, y } = toCoded(turn, shaken.toFrame(frame, shown))
      return { x: x - 0.5, y: y - 0.5 }
    }
    for (const box of boxes) resample(luma, plane, box, from)
    return plane
  }
  return {
    frameCount: source.frameCount,
    storedWidth,
    storedHeight,
    rotation,
    luma(frame) {
      const luma = source.luma(frame)
      return luma instanceof Promise ? luma.then((known) => steady(frame, known)) : steady(frame, luma)
    },
  }
}

/** The stored rectangle that holds a lane's band, as far as it lies in the picture. */
function storedBox(line: LaneLine, source: FrameSource): Rect {
  const size = displayedSize(source)
  const span = (values: ArrayLike<number>, most: number): { from: number; to: number } => {
    const sorted = Float64Array.from(values).sort()
    return {
      from: Math.max(0, Math.floor(sorted[0]! - REACH_PX)),
      to: Math.min(most, Math.ceil(sorted[sorted.length - 1]! + REACH_PX)),
    }
  }
  const [across, down] = [span(line.x, size.width), span(line.y, size.height)]
  const shown = { x: across.from, y: down.from, width: across.to - across.from, height: down.to - down.from }
  return codedRect(turnOf(source), shown)
}

const PHASES = 256
/** Weights of the four neighbours for each part of a px. Source: R. Keys, Cubic convolution interpolation, IEEE Trans. ASSP 29 (1981), eq. 15. */
const weights = Float32Array.from({ length: 4 * (PHASES + 1) }, (_, i) => {
  const part = Math.floor(i / 4) / PHASES
  const far = Math.abs(part + 1 - (i % 4))
  return far < 1 ? (1.5 * far - 2.5) * far * far + 1 : ((-0.5 * far + 2.5) * far - 4) * far + 2
})

/** Fills a box of `into`. The way from a pixel to its place in `of` is straight: three places tell it. */
function resample(of: Luma, into: Luma, box: Rect, from: (column: number, row: number) => Point): void {
  const { width, height, stride, data } = of
  const most = 2 ** of.bitDepth - 1
  const origin = from(0, 0)
  const right = from(1, 0)
  const down = from(0, 1)
  const [xc, yc] = [right.x - origin.x, right.y - origin.y]
  const [xr, yr] = [down.x - origin.x, down.y - origin.y]
  for (let row = box.y; row < box.y + box.height; row++) {
    let x = origin.x + xc * box.x + xr * row
    let y = origin.y + yc * box.x + yr * row
    for (let at = row * stride + box.x, end = at + box.width; at < end; at++) {
      const c = Math.floor(x)
      const r = Math.floor(y)
      if (c < 1 || r < 1 || c > width - 3 || r > height - 3) {
        const nearX = Math.max(0, Math.min(width - 1, Math.round(x)))
        const nearY = Math.max(0, Math.min(height - 1, Math.round(y)))
        into.data[at] = data[nearY * stride + nearX]!
      } else {
        const a = 4 * Math.round((x - c) * PHASES)
        const b = 4 * Math.round((y - r) * PHASES)
        let sum = 0
        let first = (r - 1) * stride + c - 1
        for (let k = 0; k < 4; k++) {
          sum +=
            weights[b + k]! *
            (weights[a]! * data[first]! +
              weights[a + 1]! * data[first + 1]! +
              weights[a + 2]! * data[first + 2]! +
              weights[a + 3]! * data[first + 3]!)
          first += stride
        }
        into.data[at] = sum < 0 ? 0 : sum > most ? most : sum + 0.5
      }
      x += xc
      y += yc
    }
  }
}
