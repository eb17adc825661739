import { seeded, type Random } from './random.ts'
import type { SensorSpec } from './scene.ts'
import type { PixelWindow } from './window.ts'

/** Exponent of the tone curve: picture value = light^(1/2.2). */
export const toneGamma = 2.2

/** A picture in the making: light in, tone-curved brightness and colour out (BT.709 weights, 8-bit limited range). */
export interface Development {
  /** Brightness before noise, 16 … 235, per pixel. */
  readonly luma: Float32Array
  /** Colour differences before noise, 16 … 240, per 2 × 2 pixels. */
  readonly blue: Float32Array
  readonly red: Float32Array
}

export const newDevelopment = (width: number, height: number): Development => ({
  luma: new Float32Array(width * height),
  blue: new Float32Array((width * height) / 4),
  red: new Float32Array((width * height) / 4),
})

/** Weights of the blur of lens and sensor, from the middle outwards. */
function kernelOf(psf_px: number): number[] {
  const raw = [0, 1, 2].map((d) => Math.exp((-d * d) / (2 * psf_px * psf_px)))
  const sum = raw[0]! + 2 * (raw[1]! + raw[2]!)
  return raw.map((value) => value / sum)
}

/** Blurs and tone-curves one window of a linear-light picture. */
export function developer(
  width: number,
  height: number,
  sensor: SensorSpec,
): (light: Float32Array, area: PixelWindow, into: Development) => void {
  const kernel = kernelOf(sensor.psf_px)
  const across = new Float32Array(width * height * 3)
  const gammaTable = Float32Array.from({ length: 4097 }, (_, i) => (i / 4096) ** (1 / toneGamma))
  const curve = (value: number): number => {
    const x = Math.min(1, value * sensor.gain) * 4096
    if (x < 40) return (x / 4096) ** (1 / toneGamma)
    const i = x | 0
    return i >= 4096 ? 1 : gammaTable[i]! + (gammaTable[i + 1]! - gammaTable[i]!) * (x - i)
  }
  const [k0, k1, k2] = [kernel[0]!, kernel[1]!, kernel[2]!]
  const stride = width * 3
  return (light, area, into) => {
    const { luma, blue, red } = into
    const top = Math.max(0, area.top - 2)
    const bottom = Math.min(height, area.bottom + 2)
    for (let y = top; y < bottom; y++) {
      const row = y * stride
      for (let x = area.left; x < area.right; x++) {
        const l1 = row + (x < 1 ? 0 : x - 1) * 3
        const l2 = row + (x < 2 ? 0 : x - 2) * 3
        const r1 = row + (x + 1 < width ? x + 1 : width - 1) * 3
        const r2 = row + (x + 2 < width ? x + 2 : width - 1) * 3
        const p = row + x * 3
        for (let c = 0; c < 3; c++) {
          across[p + c] =
            k0 * light[p + c]! + k1 * (light[l1 + c]! + light[r1 + c]!) + k2 * (light[l2 + c]! + light[r2 + c]!)
        }
      }
    }
    const down = (p: number, u1: number, u2: number, d1: number, d2: number): number =>
      curve(k0 * across[p]! + k1 * (across[p + u1]! + across[p + d1]!) + k2 * (across[p + u2]! + across[p + d2]!))
    for (let y = area.top; y < area.bottom; y++) {
      const u1 = y < 1 ? 0 : -stride
      const u2 = y < 2 ? u1 : -2 * stride
      const d1 = y + 1 < height ? stride : 0
      const d2 = y + 2 < height ? 2 * stride : d1
      for (let x = area.left; x < area.right; x++) {
        const p = y * stride + x * 3
        const r = down(p, u1, u2, d1, d2)
        const g = down(p + 1, u1, u2, d1, d2)
        const b = down(p + 2, u1, u2, d1, d2)
        // ITU-R BT.709: luma weights and scaling of the colour differences.
        const brightness = 0.2126 * r + 0.7152 * g + 0.0722 * b
        luma[y * width + x] = 16 + 219 * brightness
        const at = (y >> 1) * (width >> 1) + (x >> 1)
        const first = ((x | y) & 1) === 0
        blue[at] = (first ? 128 : blue[at]!) + (56 * (b - brightness)) / 1.8556
        red[at] = (first ? 128 : red[at]!) + (56 * (r - brightness)) / 1.5748
      }
    }
  }
}

/** Copies one window from another development. */
export function restore(from: Development, area: PixelWindow, width: number, into: Development): void {
  for (let y = area.top; y < area.bottom; y++) {
    const start = y * width + area.left
    into.luma.set(from.luma.subarray(start, y * width + area.right), start)
  }
  for (let y = area.top / 2; y < area.bottom / 2; y++) {
    const start = (y * width) / 2 + area.left / 2
    const end = (y * width) / 2 + area.right / 2
    into.blue.set(from.blue.subarray(start, end), start)
    into.red.set(from.red.subarray(start, end), start)
  }
}

const tableSize = 1 << 18

/** Adds noise and rounds to bytes: planes Y, U, V one after another. `rowGain` is the lamp's strength for a row. */
export function exposer(
  width: number,
  height: number,
  sensor: SensorSpec,
  seed: number,
): (picture: Development, rowGain: (row: number) => number, out: Uint8Array) => void {
  const random: Random = seeded(seed ^ 0x5eed)
  const table = Float32Array.from({ length: tableSize + width }, () => random.gauss())
  // Standard deviation of the tone-curved value for shot and read noise at each brightness.
  const spread = Float32Array.from({ length: 256 }, (_, value) => {
    const tone = Math.min(1, Math.max(0.04, (value - 16) / 219))
    const light = tone ** toneGamma
    const electrons = light * sensor.full_well
    const relative = Math.sqrt(electrons + sensor.read_noise ** 2) / sensor.full_well
    return (219 * relative * tone) / (light * toneGamma)
  })
  return (picture, rowGain, out) => {
    const { luma, blue, red } = picture
    for (let y = 0; y < height; y++) {
      const shift = Math.floor(random.next() * tableSize)
      const gain = rowGain(y) ** (1 / toneGamma)
      const row = y * width
      for (let x = 0; x < width; x++) {
        const value = 16 + (luma[row + x]! - 16) * gain
        const noisy = value + table[shift + x]! * spread[value > 255 ? 255 : value | 0]! + 0.5
        out[row + x] = noisy < 16 ? 16 : noisy > 235 ? 235 : noisy
      }
    }
    const pixels = width * height
    const colours = pixels / 4
    const shift = Math.floor(random.next() * tableSize)
    for (let i = 0; i < colours; i++) {
      // Phones smooth colour noise hard; what is left is about a third of a level.
      const noise = 0.35 * table[(shift + i * 3) & (tableSize - 1)]!
      out[pixels + i] = blue[i]! + noise + 0.5
      out[pixels + colours + i] = red[i]! - noise + 0.5
    }
  }
}
