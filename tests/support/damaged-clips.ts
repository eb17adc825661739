import { readFileSync } from 'node:fs'
import { makeBarcodeClip, type BarcodeClip } from './barcode-clip.ts'
import { seededRandom } from './random-order.ts'

const h264 = ['-c:v', 'libx264', '-preset', 'fast', '-crf', '22', '-pix_fmt', 'yuv420p', '-bf', '2', '-g', '12']
const jpeg = ['-c:v', 'mjpeg', '-q:v', '5', '-pix_fmt', 'yuvj420p']
const vp9 = ['-c:v', 'libvpx-vp9', '-cpu-used', '8', '-b:v', '1M', '-g', '12']
const gif = ['-vf', 'settb=1/100,setpts=4*N', '-fps_mode', 'passthrough']
const size = { width: 208, height: 112, frames: 30 } as const

/** A clip that ffmpeg opens, to have it at hand before a clock runs. */
export const soundAvi: BarcodeClip = { ...size, name: 'fuzz-avi', extension: 'avi', encode: jpeg }

const seeds: readonly BarcodeClip[] = [
  { ...size, name: 'fuzz-mp4', extension: 'mp4', encode: h264 },
  { ...size, name: 'fuzz-faststart', extension: 'mp4', encode: [...h264, '-movflags', '+faststart'] },
  { ...size, name: 'fuzz-fragmented', extension: 'mp4', encode: [...h264, '-movflags', 'frag_keyframe+empty_moov'] },
  { ...size, name: 'fuzz-mkv', extension: 'mkv', encode: h264 },
  { ...size, name: 'fuzz-ts', extension: 'ts', encode: h264 },
  { ...size, name: 'fuzz-webm', extension: 'webm', encode: vp9 },
  { ...size, name: 'fuzz-mjpeg', extension: 'mov', encode: jpeg },
  soundAvi,
  { ...size, name: 'fuzz-gif', extension: 'gif', encode: gif },
]

export interface DamagedClip {
  readonly fileName: string
  readonly bytes: Uint8Array
  /** Which clip it was, its place in the series, and what was done to it. */
  readonly label: string
}

/** The first `count` damaged files of the series that a seed begins; clips of all kinds take turns. */
export function damagedClips(seed: number, count: number): DamagedClip[] {
  const random = seededRandom(seed)
  const valid = seeds.map((clip) => readFileSync(makeBarcodeClip(clip)))
  return Array.from({ length: count }, (_, i) => {
    const clip = seeds[i % seeds.length]
    const source = valid[i % seeds.length]
    if (clip === undefined || source === undefined) throw new Error('no seed')
    const { bytes, what } = mutate(source, random)
    return { fileName: `case-${seed}-${i}.${clip.extension}`, bytes, label: `${clip.name} ${seed}-${i}: ${what}` }
  })
}

/** A valid file with some bytes changed, zeroed, doubled or cut away. */
function mutate(valid: Uint8Array, random: () => number): { bytes: Uint8Array; what: string } {
  const at = (share = 1): number => Math.floor(random() * valid.length * share)
  const kind = Math.floor(random() * 5)
  const bytes = Uint8Array.from(valid)
  if (kind === 0) return { bytes: bytes.subarray(0, at()), what: 'cut off' }
  if (kind === 1) {
    const count = 1 + Math.floor(random() * 40)
    for (let i = 0; i < count; i++) bytes[at()] = Math.floor(random() * 256)
    return { bytes, what: `${count} bytes changed` }
  }
  if (kind === 2) {
    const from = at()
    bytes.fill(0, from, from + Math.floor(random() * 4000))
    return { bytes, what: 'zeroed stretch' }
  }
  if (kind === 3) {
    // Near either end lie the tables that describe the rest.
    const count = 1 + Math.floor(random() * 6)
    for (let i = 0; i < count; i++) {
      const place = random() < 0.5 ? at(0.05) : valid.length - 1 - at(0.05)
      bytes[place] = Math.floor(random() * 256)
    }
    return { bytes, what: `${count} bytes of the tables changed` }
  }
  const from = at()
  const length = Math.floor(random() * 3000)
  const rest = valid.subarray(Math.min(valid.length, from + length))
  const shorter = new Uint8Array(from + rest.length)
  shorter.set(valid.subarray(0, from))
  shorter.set(rest, from)
  return { bytes: shorter, what: `${length} bytes missing` }
}
