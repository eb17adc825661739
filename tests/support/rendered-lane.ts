import type { FrameSource, Luma, Rotation } from '../../workers/locate/frame-source.ts'

/** Pseudo-random numbers 0 … 1 from a seed. Source: Park and Miller 1988, "minimal standard" generator. */
export function seeded(seed: number): () => number {
  let state = Math.max(1, seed % 2147483647)
  return () => {
    state = (state * 16807) % 2147483647
    return (state - 1) / 2147483646
  }
}

/** Nearly normal: the sum of three even numbers has the right variance after the factor 2 and is much cheaper. */
function normal(random: () => number): number {
  return 2 * (random() + random() + random() - 1.5)
}

const backgrounds = new WeakMap<RenderedScene, Float32Array>()

function emptyPicture(scene: RenderedScene): Float32Array {
  let picture = backgrounds.get(scene)
  if (!picture) {
    picture = new Float32Array(scene.width * scene.height)
    for (let y = 0; y < scene.height; y++) {
      for (let x = 0; x < scene.width; x++) picture[y * scene.width + x] = backgroundAt(scene, x + 0.5, y + 0.5)
    }
    backgrounds.set(scene, picture)
  }
  return picture
}

export interface RenderedBall {
  readonly radius: number
  /** Brightness of the ball, 0 … 255. */
  readonly level: number
  /** Where its centre is in a frame; undefined while it is not there. */
  readonly at: (frame: number) => { x: number; y: number } | undefined
  /** A bright spot fixed to the ball, at this share of the radius, that turns as the ball rolls this far per radian. */
  readonly spot?: {
    readonly share: number
    readonly radius: number
    readonly level: number
    readonly perRadian_px: number
  }
  /** Grey levels by which its left edge is brighter than its middle, and its right edge darker. */
  readonly litFromLeft?: number
  /** Highlight fixed in space up left of the centre. */
  readonly highlight?: number
  /** 0 opaque … 1 clear as glass, with a dark rim. */
  readonly clear?: number
}

export interface RenderedScene {
  readonly width: number
  readonly height: number
  readonly frames: number
  readonly balls: readonly RenderedBall[]
  /** The groove's front wall hides everything below this row (along the whole picture). */
  readonly lipRow?: number
  /** Uprights before the lane. */
  readonly posts?: readonly { readonly from: number; readonly to: number; readonly level: number }[]
  /** No texture: wall of one brightness, wood of another. */
  readonly plain?: boolean
  readonly noise?: number
  /** Width of the optical blur, px. */
  readonly blur?: number
  /** Way of the ball during the exposure, px along x. */
  readonly smear?: number
  readonly seed?: number
  readonly gain?: (frame: number) => number
  readonly rotation?: Rotation
  readonly bitDepth?: number
  /** Frames that show the frame before again. */
  readonly repeats?: ReadonlySet<number>
  /** Anything else drawn over a frame: gets column, row and what is there, gives what shall be there. */
  readonly over?: (frame: number, x: number, y: number, value: number) => number
}

function inside(d: number, blur: number): number {
  // Logistic stand-in for a blurred edge of this width; tests need an edge, not this edge.
  return 1 / (1 + Math.exp((-1.702 * d) / blur))
}

/** A lens mixes light, not grey levels. Exponent 2.2 and black at 16, white at 235: ITU-R BT.709, its curve as a power, common practice, no source. */
function mixed(behind: number, before: number, share: number): number {
  if (share < 1e-3) return behind
  if (share > 1 - 1e-3) return before
  const light = (grey: number): number => Math.pow(Math.max(0, grey - 16) / 219, 2.2)
  return 16 + 219 * Math.pow(light(behind) + share * (light(before) - light(behind)), 1 / 2.2)
}

/** Renders one frame of a lane seen from the side, in the displayed orientation. */
export function renderFrame(scene: RenderedScene, frame: number): Float32Array {
  const { width, height } = scene
  const shown = scene.repeats?.has(frame) === true ? frame - 1 : frame
  const random = seeded(7919 * ((scene.seed ?? 1) + 1) + 104729 * (shown + 1))
  const blur = scene.blur ?? 0.8
  const empty = emptyPicture(scene)
  const picture = empty.slice()
  for (const ball of scene.balls) {
    const at = ball.at(shown)
    if (!at) continue
    const reach = ball.radius + 4 + (scene.smear ?? 0)
    const steps = scene.smear ? Math.max(1, Math.ceil(2 * scene.smear)) : 1
    for (let y = Math.max(0, Math.floor(at.y - reach)); y < Math.min(height, at.y + reach); y++) {
      for (let x = Math.max(0, Math.floor(at.x - reach)); x < Math.min(width, at.x + reach); x++) {
        let share = 0
        for (let i = 0; i < steps; i++) {
          const off = steps === 1 ? 0 : ((i + 0.5) / steps - 0.5) * (scene.smear ?? 0)
          share += inside(ball.radius - Math.hypot(x + 0.5 - at.x - off, y + 0.5 - at.y), blur) / steps
        }
        const i = y * width + x
        picture[i] = mixed(picture[i]!, faceAt(ball, x + 0.5 - at.x, y + 0.5 - at.y, at.x, empty[i]!), share)
      }
    }
  }
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x
      if (scene.lipRow !== undefined && y + 0.5 > scene.lipRow) picture[i] = empty[i]!
      for (const post of scene.posts ?? []) if (x >= post.from && x < post.to) picture[i] = post.level
      let value = picture[i]! * (scene.gain?.(shown) ?? 1)
      if (scene.over) value = scene.over(shown, x, y, value)
      picture[i] = Math.max(0, Math.min(255, value + (scene.noise ?? 1) * normal(random)))
    }
  }
  return picture
}

function backgroundAt(scene: RenderedScene, x: number, y: number): number {
  const lip = scene.lipRow ?? Infinity
  const wall = scene.plain === true ? 175 : 175 + 8 * Math.sin(x / 90) + 4 * Math.cos(y / 25)
  const wood =
    scene.plain === true ? 140 : 140 + 10 * Math.sin(x / 3.1) * Math.cos(y / 5) + 12 * Math.sin(x / 41 + y / 7)
  const share = inside(y - lip, 0.8)
  return lip === Infinity ? wall : wall + share * (wood - wall)
}

function faceAt(ball: RenderedBall, dx: number, dy: number, x: number, behind: number): number {
  const rho = Math.hypot(dx, dy) / ball.radius
  let value = ball.level * (1 - 0.12 * rho * rho) - ((ball.litFromLeft ?? 0) * dx) / ball.radius
  if (ball.clear !== undefined) {
    const rim = Math.min(1, Math.max(0, (rho - 0.7) / 0.3))
    value = behind + (1 - ball.clear + ball.clear * rim * 0.6) * (ball.level - behind)
  }
  if (ball.highlight !== undefined) {
    const near = inside(0.2 * ball.radius - Math.hypot(dx + 0.35 * ball.radius, dy + 0.4 * ball.radius), 0.7)
    value += near * (ball.highlight - value)
  }
  if (ball.spot) {
    const angle = x / ball.spot.perRadian_px
    const sx = ball.spot.share * ball.radius * Math.cos(angle)
    const sy = ball.spot.share * ball.radius * Math.sin(angle)
    value += inside(ball.spot.radius - Math.hypot(dx - sx, dy - sy), 0.7) * (ball.spot.level - value)
  }
  return value
}

/** The scene as a frame source, stored turned where it asks for a rotation, with 8 or more bits. */
export function renderedSource(scene: RenderedScene): FrameSource {
  const rotation = scene.rotation ?? 0
  const upright = rotation === 0 || rotation === 180
  const storedWidth = upright ? scene.width : scene.height
  const storedHeight = upright ? scene.height : scene.width
  return {
    frameCount: scene.frames,
    storedWidth,
    storedHeight,
    rotation,
    luma: (frame) => storeFrame(scene, renderFrame(scene, frame), storedWidth, storedHeight, rotation),
  }
}

function storeFrame(
  scene: RenderedScene,
  picture: Float32Array,
  width: number,
  height: number,
  rotation: Rotation,
): Luma {
  const bitDepth = scene.bitDepth ?? 8
  const factor = 2 ** (bitDepth - 8)
  const stride = width + 16
  const data = bitDepth > 8 ? new Uint16Array(stride * height) : new Uint8Array(stride * height)
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      // Clockwise turn of the stored picture by `rotation` gives the displayed one.
      const [x, y] =
        rotation === 0
          ? [column, row]
          : rotation === 90
            ? [height - 1 - row, column]
            : rotation === 180
              ? [width - 1 - column, height - 1 - row]
              : [row, width - 1 - column]
      data[row * stride + column] = Math.round(picture[y * scene.width + x]! * factor)
    }
  }
  return { width, height, stride, data, bitDepth }
}
