import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { nativeFrames } from '../support/native-ffmpeg.ts'
import { shuffled } from '../support/random-order.ts'

const clips = [
  {
    decoder: 'webcodecs',
    path: () =>
      makeBarcodeClip({
        name: 'identity-h264',
        extension: 'mp4',
        frames: 120,
        encode: ['-c:v', 'libx264', '-preset', 'fast', '-bf', '3', '-g', '30', '-crf', '20', '-pix_fmt', 'yuv420p'],
      }),
  },
  {
    decoder: 'ffmpeg',
    path: () =>
      makeBarcodeClip({
        name: 'identity-mjpeg',
        extension: 'avi',
        frames: 120,
        encode: ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj420p'],
      }),
  },
] as const

describe.each([true, false])('cross-origin isolated: %s', (isolated) => {
  let bench: DecodeBench
  beforeAll(async () => {
    bench = await startDecodePage({ isolated })
  })
  afterAll(() => bench.close())

  test('the page is isolated exactly when the headers say so', async () => {
    expect((await bench.ask('state')).crossOriginIsolated).toBe(isolated)
  })

  describe.each(clips)('through $decoder', ({ decoder, path }) => {
    let file = ''
    let all: number[] = []
    let truth: string[] = []
    beforeAll(async () => {
      file = path()
      truth = nativeFrames(file).map(({ md5 }) => md5)
      const outcome = await bench.ask('open', [bench.url(file)], ['clip'])
      if (!('facts' in outcome)) throw new Error(outcome.sentence)
      expect(outcome.facts.decoder).toBe(decoder)
      expect(outcome.facts.frames).toBe(120)
      expect(outcome.facts.damage).toBeNull()
      all = Array.from({ length: 120 }, (_, i) => i)
    })

    test.each(['forwards', 'backwards', 'at random'] as const)(
      'every frame is the right one %s, bit for bit as native ffmpeg',
      async (order) => {
        const asked = order === 'forwards' ? all : order === 'backwards' ? [...all].reverse() : shuffled(all, 7)
        const frames = await bench.ask('read', asked)
        expect(frames.map(({ number }) => number)).toEqual(asked)
        expect(frames.map(({ md5 }) => md5)).toEqual(asked.map((frame) => truth[frame]))
        expect(frames.filter(({ doubtful }) => doubtful)).toEqual([])
      },
    )

    test('the picture that is drawn is the right one too', async () => {
      const asked = shuffled(all, 11).slice(0, 30)
      expect(await bench.ask('draw', asked)).toEqual(asked)
    })

    test('no decoded frame is left open', async () => {
      expect((await bench.ask('state')).openFrames).toBe(0)
    })
  })
})
