import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { toCoded, toDisplayed } from '../../../workers/decode/turn.ts'
import {
  displayedSize,
  turnOf,
  type FrameSource,
  type Luma,
  type Rotation,
} from '../../../workers/locate/frame-source.ts'
import { laneLine } from '../../../workers/locate/lane-line.ts'
import { shakenPlaces, steadySource } from '../../../workers/locate/steady-source.ts'
import type { ShakeTrack } from '../../../workers/record/index.ts'

const stored = { storedWidth: 240, storedHeight: 180 }
const rotations: readonly Rotation[] = [0, 90, 180, 270]
const track = (dx: number, dy: number, turn: number): ShakeTrack => {
  return { frames: [0, 1], dx: [0, dx], dy: [0, dy], turn_rad: [0, turn], about: { x: 100, y: 80 }, u_px: 0.05 }
}

/** A smooth scene of the displayed picture, 0 … 255. */
const scene = (x: number, y: number): number => 128 + 60 * Math.sin(x / 5) + 50 * Math.cos(y / 6 + x / 17)

/** A source whose frame 1 shows the scene as the track moves it. */
function filmed(rotation: Rotation, shake: ShakeTrack, bitDepth: number, from = scene): FrameSource {
  const { storedWidth: width, storedHeight: height } = stored
  const { toSteady } = shakenPlaces(shake)
  const stride = width + 16
  const factor = 2 ** (bitDepth - 8)
  return {
    frameCount: 2,
    ...stored,
    rotation,
    luma(frame): Luma {
      const data = bitDepth > 8 ? new Uint16Array(stride * height) : new Uint8Array(stride * height)
      for (let row = 0; row < height; row++) {
        for (let column = 0; column < width; column++) {
          const shown = toDisplayed(turnOf({ ...stored, rotation }), { x: column + 0.5, y: row + 0.5 })
          const { x, y } = toSteady(frame, shown)
          data[row * stride + column] = factor * from(x, y) + 0.5
        }
      }
      return { width, height, stride, data, bitDepth }
    },
  }
}

describe.each(rotations)('a clip stored turned by %s°', (rotation) => {
  const size = displayedSize({ ...stored, rotation })
  const line = laneLine('A', [
    [20, size.height / 2 - 6],
    [size.width - 20, size.height / 2 + 6],
  ])

  test.each([8, 10])('shows the lane as a camera at rest would have, at %s bit', async (bitDepth) => {
    const source = steadySource(
      filmed(rotation, track(3.4, -2.7, 0.004), bitDepth),
      shakenPlaces(track(3.4, -2.7, 0.004)),
      [line],
    )
    const { data, stride } = await source.luma(1)
    let worst = 0
    for (let x = 25.5; x < size.width - 25; x++) {
      for (let off = -30; off <= 30; off += 5) {
        const y = Math.floor(size.height / 2) + off + 0.5
        const at = toCoded(turnOf({ ...stored, rotation }), { x, y })
        const value = data[Math.floor(at.y) * stride + Math.floor(at.x)]! / 2 ** (bitDepth - 8)
        worst = Math.max(worst, Math.abs(value - scene(x, y)))
      }
    }
    expect(worst).toBeLessThan(bitDepth > 8 ? 1.2 : 1.8)
  })

  test('moves an edge by less than .02 px from where it is', async () => {
    // A blurred edge across the lane; its middle by the area under it.
    const edge = (x: number): number => 50 + 150 / (1 + Math.exp(-(x - 100.3) / 0.55))
    for (const dx of [0.1, 0.25, 0.5, 0.7]) {
      const shake = track(dx, 0.3, 0)
      const source = steadySource(filmed(rotation, shake, 10, edge), shakenPlaces(shake), [line])
      const { data, stride } = await source.luma(1)
      let area = 0
      for (let x = 80.5; x < 120; x++) {
        const at = toCoded(turnOf({ ...stored, rotation }), { x, y: Math.floor(size.height / 2) + 0.5 })
        area += data[Math.floor(at.y) * stride + Math.floor(at.x)]! / 4 - 50
      }
      expect(Math.abs(120 - area / 150 - 100.3)).toBeLessThan(0.02)
    }
  })

  test('is left as it is by a track that says nothing', async () => {
    const raw = filmed(rotation, track(0, 0, 0), 8)
    const before = await raw.luma(0)
    const after = await steadySource(raw, shakenPlaces(track(0, 0, 0)), [line]).luma(0)
    const at = toCoded(turnOf({ ...stored, rotation }), { x: size.width / 2, y: size.height / 2 })
    const from = Math.floor(at.y) * before.stride + Math.floor(at.x)
    expect([...after.data.subarray(from, from + 20)]).toEqual([...before.data.subarray(from, from + 20)])
  })
})

test('a place and the way back meet, whatever the shake', () => {
  const small = fc.double({ min: -40, max: 40, noNaN: true })
  fc.assert(
    fc.property(
      small,
      small,
      fc.double({ min: -0.3, max: 0.3, noNaN: true }),
      small,
      small,
      fc.nat(3),
      (dx, dy, turn, x, y, frame) => {
        const { toFrame, toSteady } = shakenPlaces(track(dx, dy, turn))
        const back = toSteady(frame, toFrame(frame, { x, y }))
        expect(Math.hypot(back.x - x, back.y - y)).toBeLessThan(1e-9)
      },
    ),
    { seed: 20261125 },
  )
})
