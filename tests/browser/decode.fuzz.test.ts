import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { makeBarcodeClip, type BarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { longRun } from '../support/long-run.ts'
import { seededRandom } from '../support/random-order.ts'
import { cacheFolder } from '../support/repository.ts'

const cases = longRun ? 500 : 60
const limit_ms = 10_000

const h264 = ['-c:v', 'libx264', '-preset', 'fast', '-crf', '22', '-pix_fmt', 'yuv420p', '-bf', '2', '-g', '12']
const jpeg = ['-c:v', 'mjpeg', '-q:v', '5', '-pix_fmt', 'yuvj420p']
const size = { width: 208, height: 112, frames: 30 } as const
const seeds: readonly BarcodeClip[] = [
  { ...size, name: 'fuzz-mp4', extension: 'mp4', encode: h264 },
  { ...size, name: 'fuzz-faststart', extension: 'mp4', encode: [...h264, '-movflags', '+faststart'] },
  { ...size, name: 'fuzz-fragmented', extension: 'mp4', encode: [...h264, '-movflags', 'frag_keyframe+empty_moov'] },
  { ...size, name: 'fuzz-mkv', extension: 'mkv', encode: h264 },
  { ...size, name: 'fuzz-ts', extension: 'ts', encode: h264 },
  {
    ...size,
    name: 'fuzz-webm',
    extension: 'webm',
    encode: ['-c:v', 'libvpx-vp9', '-cpu-used', '8', '-b:v', '1M', '-g', '12'],
  },
  { ...size, name: 'fuzz-mjpeg', extension: 'mov', encode: jpeg },
  { ...size, name: 'fuzz-avi', extension: 'avi', encode: jpeg },
  {
    ...size,
    name: 'fuzz-gif',
    extension: 'gif',
    encode: ['-vf', 'settb=1/100,setpts=4*N', '-fps_mode', 'passthrough'],
  },
]

let bench: DecodeBench
beforeAll(async () => {
  bench = await startDecodePage({ isolated: true })
})
afterAll(() => bench.close())

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

test(
  `${cases} damaged files: no crash, no hang past 10 s, no wrong number that is not marked doubtful`,
  async () => {
    const random = seededRandom(longRun ? 2026 : 11)
    const valid = seeds.map((clip) => readFileSync(makeBarcodeClip(clip)))
    // The first use of ffmpeg compiles it, which is no hang: done before the clock runs.
    const warm = makeBarcodeClip({ ...size, name: 'fuzz-avi', extension: 'avi', encode: jpeg })
    await bench.ask('open', [bench.url(warm)], ['warm.avi'])
    const outcomes = new Map<string, number>()
    const wrong: string[] = []
    const slow: string[] = []
    for (let i = 0; i < cases; i++) {
      const which = i % seeds.length
      const seed = seeds[which]
      const source = valid[which]
      if (seed === undefined || source === undefined) throw new Error('no seed')
      const { bytes, what } = mutate(source, random)
      const path = join(cacheFolder('clips/fuzz'), `case-${i}.${seed.extension}`)
      writeFileSync(path, bytes)
      const label = `${seed.name} ${i}: ${what}`
      const start = performance.now()
      const outcome = await bench.ask('open', [bench.url(path)], [`case-${i}.${seed.extension}`])
      if (performance.now() - start > limit_ms) slow.push(`${label}, opening`)
      outcomes.set(outcome.kind, (outcomes.get(outcome.kind) ?? 0) + 1)
      if (!('facts' in outcome)) {
        expect(outcome.sentence.length, label).toBeGreaterThan(20)
        continue
      }
      const asked = Array.from({ length: Math.min(outcome.facts.frames, 60) }, (_, frame) => frame)
      const early = await bench.ask('read', asked)
      const { damage } = (await bench.ask('facts')) ?? {}
      // Once damage is known, what was read before it is asked again: now every picture says whether it is sound.
      const frames = damage?.kind === 'damaged-data' ? await bench.ask('read', asked) : early
      if ([...early, ...frames].some(({ ms }) => ms > limit_ms)) slow.push(`${label}, a frame`)
      const readable = frames.filter(({ number, doubtful }) => number !== null && !doubtful)
      // A file that lost its beginning counts from what is left: then the numbers rise in step from another start.
      const late = (readable[0]?.number ?? 0) - (readable[0]?.frame ?? 0)
      const untouched = readable.filter(({ frame, number }) => number !== frame)
      const backwards = readable.some(({ number }, k) => k > 0 && (number ?? 0) < (readable[k - 1]?.number ?? 0))
      if (untouched.length > 0 && (late < 0 || backwards)) {
        wrong.push(`${label}: ${untouched.map(({ frame, number }) => `${frame}→${number}`).join(' ')}`)
      }
    }
    console.log('fuzz outcomes:', Object.fromEntries(outcomes))
    expect(slow).toEqual([])
    expect(wrong).toEqual([])
    expect((await bench.ask('state')).openFrames).toBe(0)
    expect(outcomes.get('open') ?? 0, 'some files still open').toBeGreaterThan(cases / 5)
  },
  longRun ? 3_600_000 : 600_000,
)
