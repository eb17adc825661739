import { basename } from 'node:path'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage } from '../support/decode-page.ts'
import { seededRandom } from '../support/random-order.ts'
import { figure, median, percentile, type Figure } from './figure.ts'

const rounds = 5
/** No screen shows steps faster than it is drawn (60 a second), and no held key repeats faster than that. */
const screen_ms = 1000 / 60
const frames = 300
const p95 = (times: readonly number[]): number => percentile(times, 0.95)

/**
 * How long a person waits for the next, the last and any frame of a 1080p clip with a key frame every 30. Steps forward come at the rate of a screen;
 * `flat_out`: each as soon as the one before is there, which is the decoder's own pace. `first_clip`:
 * the first time a clip is opened, when memory for the pictures is new (clearing it costs as much as decoding on some machines);
 * later ones use the memory of the one before.
 */
export async function run(): Promise<Figure[]> {
  const path = makeBarcodeClip({
    name: 'bench-step',
    extension: 'mp4',
    width: 480,
    height: 270,
    frames,
    encode: [
      '-vf',
      'scale=1920:1080:flags=neighbor,noise=alls=6:allf=t',
      '-c:v',
      'libx264',
      '-preset',
      'fast',
      '-crf',
      '23',
      '-pix_fmt',
      'yuv420p',
      '-g',
      '30',
      '-bf',
      '2',
    ],
  })
  const bench = await startDecodePage({ isolated: true })
  try {
    const forward: number[] = []
    const flatOut: number[] = []
    const back: number[] = []
    const seek: number[] = []
    const random = seededRandom(4)
    for (let round = 0; round < rounds; round++) {
      const outcome = await bench.ask('open', [bench.url(path)], [basename(path)])
      if (!('facts' in outcome)) throw new Error(outcome.sentence)
      const ahead = Array.from({ length: 120 }, (_, i) => i + 1)
      forward.push(p95(await bench.ask('time', ahead, screen_ms)))
      back.push(
        p95(
          await bench.ask(
            'time',
            Array.from({ length: 25 }, (_, i) => 119 - i),
          ),
        ),
      )
      flatOut.push(
        p95(
          await bench.ask(
            'time',
            Array.from({ length: 120 }, (_, i) => 150 + i),
          ),
        ),
      )
      seek.push(
        p95(
          await bench.ask(
            'time',
            Array.from({ length: 30 }, () => Math.floor(random() * frames)),
          ),
        ),
      )
    }
    return [
      figure('step.forward.p95_ms', median(forward), 'ms'),
      figure('step.forward_first_clip.p95_ms', forward[0] ?? Number.NaN, 'ms'),
      figure('step.forward_flat_out.p95_ms', median(flatOut), 'ms'),
      figure('step.back_cached.p95_ms', median(back), 'ms'),
      figure('seek.gop30.p95_ms', median(seek), 'ms'),
    ]
  } finally {
    await bench.close()
  }
}
