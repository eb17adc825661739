import { readFileSync, writeFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { ffmpeg } from '../support/native-ffmpeg.ts'
import { seededRandom } from '../support/random-order.ts'
import { cacheFolder } from '../support/repository.ts'
import type { PageFacts } from './pages/decode/decode-page.ts'

const h264 = ['-c:v', 'libx264', '-preset', 'fast', '-crf', '20', '-pix_fmt', 'yuv420p', '-bf', '2', '-g', '30']

let bench: DecodeBench
beforeAll(async () => {
  bench = await startDecodePage({ isolated: true })
})
afterAll(() => bench.close())

/** Writes bytes beside the other clips, so that the page can fetch them. */
function file(name: string, bytes: Uint8Array | string): string {
  const path = join(cacheFolder('clips/bad'), name)
  writeFileSync(path, bytes)
  return path
}

async function openFiles(
  paths: readonly string[],
): Promise<{ kind: string; sentence: string; facts: PageFacts | null }> {
  const outcome = await bench.ask(
    'open',
    paths.map((path) => bench.url(path)),
    paths.map((path) => basename(path)),
  )
  return 'facts' in outcome ? { kind: 'open', sentence: '', facts: outcome.facts } : { ...outcome, facts: null }
}

async function opened(paths: readonly string[]): Promise<PageFacts> {
  const outcome = await openFiles(paths)
  if (outcome.facts === null) throw new Error(`${outcome.kind}: ${outcome.sentence}`)
  return outcome.facts
}

/** The bar codes of all frames, null where a picture is missing or unreadable. */
async function numbers(facts: PageFacts): Promise<(number | null)[]> {
  const frames = await bench.ask(
    'read',
    Array.from({ length: facts.frames }, (_, i) => i),
  )
  return frames.map(({ number }) => number)
}

const counting = (count: number): number[] => Array.from({ length: count }, (_, i) => i)

describe('what is no clip is refused with a sentence that names it', () => {
  test('an empty file', async () => {
    const outcome = await openFiles([file('empty.mp4', '')])
    expect(outcome.kind).toBe('empty-file')
    expect(outcome.sentence).toMatch(/empty\.mp4.*0 bytes/)
  })

  test('text renamed to .mp4', async () => {
    const outcome = await openFiles([file('letter.mp4', 'Dear clockmaker,\n'.repeat(200))])
    expect(outcome.kind).toBe('not-a-video')
    expect(outcome.sentence).toMatch(/letter\.mp4.*text/)
  })

  test('bytes of no format', async () => {
    const random = seededRandom(5)
    const outcome = await openFiles([
      file(
        'noise.mov',
        Uint8Array.from({ length: 20_000 }, () => random() * 256),
      ),
    ])
    expect(outcome.kind).toBe('not-a-video')
  })

  test('zero bytes throughout', async () => {
    const outcome = await openFiles([file('zeros.mp4', new Uint8Array(100_000))])
    expect(outcome.kind).toBe('not-a-video')
    expect(outcome.sentence).toMatch(/zero bytes/)
  })

  test('sound without picture, in MP4 and in AVI', async () => {
    for (const extension of ['mp4', 'avi']) {
      const path = join(cacheFolder('clips/bad'), `sound.${extension}`)
      ffmpeg(['-f', 'lavfi', '-i', 'sine=d=1', path])
      const outcome = await openFiles([path])
      expect(outcome.kind).toBe('no-video-track')
      expect(outcome.sentence).toMatch(/sound/)
    }
  })

  test('a codec that nobody decodes', async () => {
    const source = readFileSync(
      makeBarcodeClip({ name: 'unknown-codec', extension: 'mov', encode: ['-c:v', 'mpeg4', '-q:v', '4'] }),
    )
    const at = source.lastIndexOf('mp4v')
    const bytes = Uint8Array.from(source)
    bytes.set(new TextEncoder().encode('zq9x'), at)
    const esds = source.lastIndexOf('esds')
    if (esds > 0) bytes.set(new TextEncoder().encode('free'), esds)
    const outcome = await openFiles([file('unknown-codec.mov', bytes)])
    expect(outcome.kind).toBe('no-decoder')
    expect(outcome.sentence).toMatch(/zq9x/)
  })

  test('stills without numbers', async () => {
    const folder = makeBarcodeClip({
      name: 'few-stills',
      extension: 'png',
      frames: 3,
      encode: ['-pix_fmt', 'rgb24'],
      stills: true,
    })
    const still = readFileSync(join(folder, 'still_0001.png'))
    const outcome = await openFiles([file('left.png', still), file('right.png', still)])
    expect(outcome.kind).toBe('stills-unnumbered')
  })
})

describe('what is damaged is used as far as it goes', () => {
  test('a file cut off behind its index: the frames that are there, all right', async () => {
    const path = makeBarcodeClip({
      name: 'cut',
      extension: 'mp4',
      frames: 120,
      encode: [...h264, '-movflags', '+faststart'],
    })
    const bytes = readFileSync(path)
    const cut = file('cut-indexed.mp4', bytes.subarray(0, Math.round(bytes.length * 0.6)))
    const facts = await opened([cut])
    expect(facts.damage?.kind).toBe('cut-off')
    expect(facts.frames).toBeGreaterThan(40)
    expect(facts.frames).toBeLessThan(120)
    expect(facts.damage?.sentence).toContain(`${facts.frames} of them`)
    expect(await numbers(facts)).toEqual(counting(facts.frames))
  })

  test('a file cut off before its index is refused', async () => {
    const path = makeBarcodeClip({ name: 'cut-plain', extension: 'mp4', frames: 60, encode: h264 })
    const bytes = readFileSync(path)
    const outcome = await openFiles([file('cut-plain.mp4', bytes.subarray(0, bytes.length >> 1))])
    expect(outcome.kind).toBe('damaged-no-index')
    expect(outcome.sentence).toMatch(/cut-plain\.mp4.*MB/)
  })

  test('an AVI cut off in the middle', async () => {
    const path = makeBarcodeClip({
      name: 'cut-avi',
      extension: 'avi',
      frames: 60,
      encode: ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj420p'],
    })
    const bytes = readFileSync(path)
    const facts = await opened([file('cut.avi', bytes.subarray(0, bytes.length >> 1))])
    const read = await numbers(facts)
    const readable = read.filter((number) => number !== null)
    expect(readable.length).toBeGreaterThan(20)
    expect(read.every((number, frame) => number === null || number === frame)).toBe(true)
  })

  test('bits damaged inside: frames before the stated damage are right, and behind it wrong pictures are marked doubtful', async () => {
    const path = makeBarcodeClip({
      name: 'bits',
      extension: 'mp4',
      frames: 120,
      encode: [...h264, '-movflags', '+faststart'],
    })
    const bytes = Uint8Array.from(readFileSync(path))
    const random = seededRandom(9)
    for (let i = 0; i < 60; i++) {
      const at = Math.floor(bytes.length * (0.15 + 0.5 * random()))
      bytes[at] = (bytes[at] ?? 0) ^ (1 << Math.floor(random() * 8))
    }
    const facts = await opened([file('bits.mp4', bytes)])
    const before = await bench.ask('read', counting(facts.frames))
    const { damage, decoder } = (await bench.ask('facts')) ?? {}
    expect(decoder).toBe('ffmpeg')
    if (damage?.kind !== 'damaged-data') throw new Error('the damage was not noticed')
    const { firstFrame } = damage
    expect(before.filter(({ frame, number }) => frame < firstFrame && number !== frame)).toEqual([])
    // From then on every picture says whether it is sound.
    const after = await bench.ask('read', counting(facts.frames))
    expect(after.filter(({ frame, number, doubtful }) => number !== null && number !== frame && !doubtful)).toEqual([])
    expect(after.filter(({ frame, number, doubtful }) => number === frame && !doubtful).length).toBeGreaterThan(30)
  })

  test('a still missing in the middle: the others keep their numbers', async () => {
    const folder = makeBarcodeClip({
      name: 'gap-stills',
      extension: 'png',
      frames: 8,
      encode: ['-pix_fmt', 'rgb24'],
      stills: true,
    })
    const paths = [1, 2, 3, 5, 6, 7, 8].map((n) => join(folder, `still_000${n}.png`))
    const facts = await opened(paths)
    expect(facts.damage).toMatchObject({ kind: 'missing-stills', missing: [4] })
    expect(await numbers(facts)).toEqual([0, 1, 2, null, 4, 5, 6, 7])
  })
})

describe('what is unusual opens like anything else', () => {
  test.each([
    ['one frame', { name: 'one', extension: 'mp4', frames: 1, encode: h264 }],
    [
      'odd size through ffmpeg',
      { name: 'odd', extension: 'avi', width: 321, height: 179, frames: 20, encode: ['-c:v', 'ffv1', '-g', '1'] },
    ],
    ['4K', { name: '4k', extension: 'mp4', width: 3840, height: 2160, frames: 4, encode: h264 }],
  ] as const)('%s', async (_name, clip) => {
    const facts = await opened([makeBarcodeClip(clip)])
    expect(facts.frames).toBe(clip.frames)
    expect(await numbers(facts)).toEqual(counting(clip.frames))
  })

  test('a negative first timestamp: frames before zero are kept out, as players do', async () => {
    const path = makeBarcodeClip({
      name: 'negative',
      extension: 'mkv',
      frames: 60,
      encode: [...h264, '-output_ts_offset', '-0.5', '-avoid_negative_ts', 'disabled'],
    })
    const facts = await opened([path])
    const read = await numbers(facts)
    const first = read[0] ?? 0
    expect(read).toEqual(counting(facts.frames).map((i) => first + i))
  })

  test('a raw stream without timestamps is counted at its stated rate', async () => {
    const facts = await opened([makeBarcodeClip({ name: 'bare', extension: 'h264', frames: 40, encode: h264 })])
    expect(await numbers(facts)).toEqual(counting(facts.frames))
    expect(facts.frames).toBe(40)
  })

  test('opening can be cancelled, and the next clip opens', async () => {
    const path = makeBarcodeClip({
      name: 'cancelled',
      extension: 'avi',
      frames: 400,
      encode: ['-c:v', 'mpeg4', '-q:v', '3', '-bf', '2'],
    })
    const outcome = await bench.ask('open', [bench.url(path)], ['cancelled.avi'], 5)
    expect(outcome.kind).toBe('cancelled')
    expect((await opened([makeBarcodeClip({ name: 'one', extension: 'mp4', frames: 1, encode: h264 })])).frames).toBe(1)
  })

  test('a thread that dies is replaced silently: the same call still answers', async () => {
    const path = makeBarcodeClip({
      name: 'cut',
      extension: 'mp4',
      frames: 120,
      encode: [...h264, '-movflags', '+faststart'],
    })
    await opened([path])
    await bench.ask('kill')
    expect((await bench.ask('read', [77]))[0]?.number).toBe(77)
  })

  test('thumbnails, brightness over time and the hash of the file come from the same frames', async () => {
    const path = makeBarcodeClip({
      name: 'cut',
      extension: 'mp4',
      frames: 120,
      encode: [...h264, '-movflags', '+faststart'],
    })
    const facts = await opened([path])
    expect(await bench.ask('glance', 65)).toEqual({ frame: 60, width: 80 })
    const { means } = await bench.ask('sweep', { x: 4, y: 66, width: 8, height: 40 })
    expect(means.length).toBe(facts.frames)
    // The first bar is white on every frame: 235 of 255.
    for (const mean of means) expect(mean).toBeCloseTo(235 / 255, 1)
    const { createHash } = await import('node:crypto')
    expect(await bench.ask('hash')).toBe(createHash('sha256').update(readFileSync(path)).digest('hex'))
    expect(dirname(path)).toContain('clips')
  })
})
