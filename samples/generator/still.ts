import type { Camera } from './camera.ts'
import { noHit } from './facet-tree.ts'
import { spread, type LitScenery } from './light.ts'

/** Places of the samples inside a pixel: as many different columns and rows as samples (Hammersley points). */
export const samples = 16
export const sampleX = Float64Array.from({ length: samples }, (_, i) => (i + 0.5) / samples)
export const sampleY = Float64Array.from({ length: samples }, (_, i) => spread(i, 2) + 0.5 / samples)

const colourScale = 16384

/** The picture without anything that moves, kept per sample so that a ball can be put behind the groove's lip exactly. */
export interface Still {
  readonly width: number
  readonly height: number
  /** Linear light, three values a pixel. */
  readonly colour: Float32Array
  /** Per sample: distance along the optical axis [m] (Infinity-like where there is nothing), colour, post or not. */
  readonly depth: Float32Array
  readonly sampleColour: Uint16Array
  readonly post: Uint8Array
  /** Per pixel, at its centre: world position, facet, and share of the light that comes straight from the window. */
  readonly position: Float32Array
  readonly facet: Int16Array
  readonly windowShare: Float32Array
}

export const sampleColourAt = (still: Still, index: number): number => still.sampleColour[index]! / colourScale

const nothing = 1e6

export function photograph(scenery: LitScenery, camera: Camera, image: { width: number; height: number }): Still {
  const { width, height } = image
  const pixels = width * height
  const still: Still = {
    width,
    height,
    colour: new Float32Array(pixels * 3),
    depth: new Float32Array(pixels * samples),
    sampleColour: new Uint16Array(pixels * samples * 3),
    post: new Uint8Array(pixels * samples),
    position: new Float32Array(pixels * 3),
    facet: new Int16Array(pixels).fill(-1),
    windowShare: new Float32Array(pixels),
  }
  const [right, down, forward] = camera.axes
  const [ox, oy, oz] = camera.position
  const hit = noHit()
  const out = new Float64Array(3)
  const look = (x: number, y: number, known: number): boolean => {
    const [X, Y] = camera.unproject(x, y)
    const dx = forward[0] + X * right[0] + Y * down[0]
    const dy = forward[1] + X * right[1] + Y * down[1]
    const dz = forward[2] + X * right[2] + Y * down[2]
    if (known < 0) return scenery.tree.trace(ox, oy, oz, dx, dy, dz, 1e-3, nothing, hit)
    scenery.tree.meet(known, ox, oy, oz, dx, dy, dz, hit)
    return true
  }
  // First four samples of each pixel; where a pixel and its neighbours all show one facet, the others need no search.
  const scouts = [1, 6, 11, 12]
  const scouted = new Int16Array(pixels)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let facet = -2
      for (const i of scouts) {
        const seen = look(x + sampleX[i]!, y + sampleY[i]!, -1) ? hit.facet : -1
        facet = facet === -2 || facet === seen ? seen : -1
      }
      scouted[y * width + x] = facet
    }
  }
  const certain = (x: number, y: number): number => {
    const facet = scouted[y * width + x]!
    for (let py = Math.max(0, y - 1); py <= Math.min(height - 1, y + 1); py++) {
      for (let px = Math.max(0, x - 1); px <= Math.min(width - 1, x + 1); px++) {
        if (scouted[py * width + px] !== facet) return -1
      }
    }
    return facet
  }
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const pixel = y * width + x
      const known = certain(x, y)
      const sum = [0, 0, 0] as [number, number, number]
      let shaded = -1
      for (let i = 0; i < samples; i++) {
        const at = pixel * samples + i
        if (!look(x + sampleX[i]!, y + sampleY[i]!, known)) {
          still.depth[at] = nothing
          continue
        }
        const piece = scenery.facets[hit.facet]!
        // Plaster and paint hardly change within a pixel: every fourth sample will do.
        const even = piece.material.kind === 'wall' || piece.material.kind === 'plain'
        if (!even || i % 4 === 0 || shaded !== hit.facet) scenery.shade(hit, out)
        shaded = hit.facet
        still.depth[at] = hit.t
        still.post[at] = piece.post ? 1 : 0
        for (let c = 0; c < 3; c++) {
          sum[c]! += out[c]!
          still.sampleColour[at * 3 + c] = Math.min(65535, out[c]! * colourScale)
        }
      }
      for (let c = 0; c < 3; c++) still.colour[pixel * 3 + c] = sum[c]! / samples
      if (!look(x + 0.5, y + 0.5, known)) continue
      still.windowShare[pixel] = scenery.shade(hit, out)
      still.facet[pixel] = hit.facet
      const [X, Y] = camera.unproject(x + 0.5, y + 0.5)
      for (let axis = 0; axis < 3; axis++) {
        const d = forward[axis]! + X * right[axis]! + Y * down[axis]!
        still.position[pixel * 3 + axis] = camera.position[axis]! + hit.t * d
      }
    }
  }
  return still
}
