import { readdirSync } from 'node:fs'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { buildPage } from '../support/page-build.ts'

// A build that leaves the GPL core out: it must carry no part of it, and say so where it would have been needed.

const define = { 'import.meta.env.VITE_WITHOUT_FFMPEG': '"1"' }
let bench: DecodeBench
beforeAll(async () => {
  bench = await startDecodePage({ isolated: false, define })
})
afterAll(() => bench.close())

test('the build carries no file of the ffmpeg core, while the usual build does', async () => {
  const files = async (flags: Record<string, string>): Promise<string[]> =>
    readdirSync(await buildPage('decode', flags), { recursive: true }).map(String)
  expect((await files(define)).filter((file) => /ffmpeg-core/.test(file))).toEqual([])
  expect((await files({})).filter((file) => /ffmpeg-core.*\.wasm$/.test(file))).toHaveLength(1)
})

test('an AVI is refused with a sentence that names what is missing', async () => {
  const path = makeBarcodeClip({
    name: 'without',
    extension: 'avi',
    frames: 10,
    encode: ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj420p'],
  })
  const outcome = await bench.ask('open', [bench.url(path)], ['without.avi'])
  expect(outcome.kind).toBe('no-decoder')
  if ('sentence' in outcome) expect(outcome.sentence).toMatch(/left out of this build/)
})

test('H.264 still opens', async () => {
  const path = makeBarcodeClip({
    name: 'without-h264',
    extension: 'mp4',
    frames: 10,
    encode: ['-c:v', 'libx264', '-pix_fmt', 'yuv420p'],
  })
  expect((await bench.ask('open', [bench.url(path)], ['a.mp4'])).kind).toBe('open')
  expect((await bench.ask('read', [7]))[0]?.number).toBe(7)
})
