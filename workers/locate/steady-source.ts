import { pictureMotion, type ShakeTrack } from '../record/index.ts'
import { displayedPlace, displayedSize, storedPlace, type FrameSource, type Luma, type Place } from './frame-source.ts'
import type { LaneLine } from './lane-line.ts'

/** The ways between the steady picture and that of one frame of a clip filmed from the hand, in px of the displayed picture. */
export interface Shaken {
  toFrame(frame: number, place: Place): Place
  toSteady(frame: number, place: Place): Place
}

export function shakenPlaces(track: ShakeTrack): Shaken {
  const motion = pictureMotion(track)
  const { about } = track
  return {
    toFrame(frame, { x, y }) {
      const { turn_rad, dx, dy } = motion(frame)
      const [c, s] = [Math.cos(turn_rad), Math.sin(turn_rad)]
      const [px, py] = [x - about.x, y - about.y]
      return { x: about.x + c * px - s * py + dx, y: about.y + s * px + c * py + dy }
    },
    toSteady(frame, { x, y }) {
      const { turn_rad, dx, dy } = motion(frame)
      const [c, s] = [Math.cos(turn_rad), Math.sin(turn_rad)]
      const [px, py] = [x - about.x - dx, y - about.y - dy]
      return { x: about.x + c * px + s * py, y: about.y - s * px + c * py }
    },
  }
}

/** How far from a lane's line its band is steadied, px: past the widest band that a search looks at. */
const REACH_PX = 84

/** Pixels [from, to) of a stored picture. */
interface Box {
  readonly left: number
  readonly top: number
  readonly right: number
  readonly bottom: number
}

/**
 * Frames as a camera at rest would have taken them, around the lanes; elsewhere a plane holds nothing. Cubic convolution (Keys 1981, a = −½) keeps
 * edges where they are: a shift moves them by less than .02 px. One plane is filled again and again.
 */
export function steadySource(source: FrameSource, shaken: Shaken, lanes: readonly LaneLine[]): FrameSource {
  const { storedWidth, storedHeight, rotation } = source
  const boxes = lanes.map((line) => storedBox(line, source))
  let plane: Luma | undefined
  const steady = (frame: number, luma: Luma): Luma => {
    if (plane?.stride !== luma.stride || plane.bitDepth !== luma.bitDepth) {
      const cells = luma.stride * luma.height
      plane = { ...luma, data: luma.bitDepth > 8 ? new Uint16Array(cells) : new Uint8Array(cells) }
    }
    const from = (column: number, row: number): Place => {
      const shown = displayedPlace(source, { x: column + 0.5, y: row + 0.5 })
      const { x, y } = storedPlace(source, shaken.toFrame(frame, shown))
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

function storedBox(line: LaneLine, source: FrameSource): Box {
  const size = displayedSize(source)
  const { storedWidth, storedHeight } = source
  const xs = Array.from(line.x)
  const ys = Array.from(line.y)
  const corners = [
    { x: Math.max(0, Math.min(...xs) - REACH_PX), y: Math.max(0, Math.min(...ys) - REACH_PX) },
    { x: Math.min(size.width, Math.max(...xs) + REACH_PX), y: Math.min(size.height, Math.max(...ys) + REACH_PX) },
  ].map((corner) => storedPlace(source, corner))
  const [a, b] = [corners[0]!, corners[1]!]
  return {
    left: Math.max(0, Math.floor(Math.min(a.x, b.x))),
    right: Math.min(storedWidth, Math.ceil(Math.max(a.x, b.x))),
    top: Math.max(0, Math.floor(Math.min(a.y, b.y))),
    bottom: Math.min(storedHeight, Math.ceil(Math.max(a.y, b.y))),
  }
}

const PHASES = 256
/** Weights of the four neighbours for each part of a px. Source: R. Keys, Cubic convolution interpolation, IEEE Trans. ASSP 29 (1981), eq. 15. */
const weights = Float32Array.from({ length: 4 * (PHASES + 1) }, (_, i) => {
  const part = Math.floor(i / 4) / PHASES
  const far = Math.abs(part + 1 - (i % 4))
  return far < 1 ? (1.5 * far - 2.5) * far * far + 1 : ((-0.5 * far + 2.5) * far - 4) * far + 2
})

/** Fills a box of `into`. The way from a pixel to its place in `of` is straight: three places tell it. */
function resample(of: Luma, into: Luma, box: Box, from: (column: number, row: number) => Place): void {
  const { width, height, stride, data } = of
  const most = 2 ** of.bitDepth - 1
  const origin = from(0, 0)
  const right = from(1, 0)
  const down = from(0, 1)
  const [xc, yc] = [right.x - origin.x, right.y - origin.y]
  const [xr, yr] = [down.x - origin.x, down.y - origin.y]
  for (let row = box.top; row < box.bottom; row++) {
    let x = origin.x + xc * box.left + xr * row
    let y = origin.y + yc * box.left + yr * row
    for (let at = row * stride + box.left, end = row * stride + box.right; at < end; at++) {
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
