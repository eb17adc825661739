import { basename } from 'node:path'
import { makeBarcodeClip, type BarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { ffmpeg } from '../support/native-ffmpeg.ts'
import { figure, median, type Figure } from './figure.ts'

const rounds = 5
// Drawn small and enlarged by ffmpeg: drawing 1080p frames one by one would take longer than the bench.
const hd = { width: 480, height: 270 } as const
const noise = ['-vf', 'scale=1920:1080:flags=neighbor,noise=alls=6:allf=t']
const clips: readonly { figure: string; clip: BarcodeClip }[] = [
  {
    figure: 'decode.h264.vs_native_1thread',
    clip: {
      ...hd,
      name: 'bench-h264',
      extension: 'mp4',
      frames: 240,
      encode: [
        ...noise,
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
        '0',
      ],
    },
  },
  {
    figure: 'decode.mjpeg_mov.vs_native_1thread',
    clip: {
      ...hd,
      name: 'bench-mjpeg',
      extension: 'mov',
      frames: 120,
      encode: [...noise, '-c:v', 'mjpeg', '-q:v', '4', '-pix_fmt', 'yuvj420p'],
    },
  },
  {
    figure: 'decode.wasm_mjpeg_avi.vs_native_1thread',
    clip: {
      ...hd,
      name: 'bench-mjpeg-avi',
      extension: 'avi',
      frames: 120,
      encode: [...noise, '-c:v', 'mjpeg', '-q:v', '4', '-pix_fmt', 'yuvj420p'],
    },
  },
  {
    figure: 'decode.wasm_hevc.vs_native_1thread',
    clip: {
      ...hd,
      name: 'bench-hevc',
      extension: 'mp4',
      frames: 60,
      encode: [
        ...noise,
        '-c:v',
        'libx265',
        '-preset',
        'ultrafast',
        '-x265-params',
        'log-level=none:keyint=30',
        '-tag:v',
        'hvc1',
      ],
    },
  },
]

/** All frames of a clip with their brightness in the worker, against native ffmpeg with one thread on the same clip,
 *  turn by turn; each ratio is native time over ours, as a median. */
export async function run(): Promise<Figure[]> {
  const bench = await startDecodePage({ isolated: true })
  try {
    const figures: Figure[] = []
    for (const { figure: name, clip } of clips)
      figures.push(figure(name, await ratio(bench, makeBarcodeClip(clip)), 'x'))
    return figures
  } finally {
    await bench.close()
  }
}

async function ratio(bench: DecodeBench, path: string): Promise<number> {
  const outcome = await bench.ask('open', [bench.url(path)], [basename(path)])
  if (!('facts' in outcome)) throw new Error(outcome.sentence)
  const ratios: number[] = []
  for (let round = 0; round < rounds; round++) {
    const start = performance.now()
    ffmpeg(['-threads', '1', '-i', path, '-map', '0:v:0', '-f', 'rawvideo', '-fps_mode', 'passthrough', '/dev/null'])
    const native_ms = performance.now() - start
    const { ms, means } = await bench.ask('sweep', { x: 0, y: 0, width: 16, height: 16 })
    if (means.length !== outcome.facts.frames || means.some(Number.isNaN))
      throw new Error(`${path}: frames are missing`)
    ratios.push(native_ms / ms)
  }
  return median(ratios)
}
