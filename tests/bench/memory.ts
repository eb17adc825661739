import { readFileSync, readdirSync } from 'node:fs'
import { basename } from 'node:path'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { startDecodePage } from '../support/decode-page.ts'
import { figure, median, type Figure } from './figure.ts'

const rounds = 5

/** Time to open ten minutes at 240 frames per second, and the peak memory of the renderer stepping through a minute of
 *  1080p both ways. */
export async function run(): Promise<Figure[]> {
  const long = makeBarcodeClip({
    name: 'bench-long-sound',
    extension: 'mp4',
    width: 64,
    height: 36,
    frames: 12_000,
    // With sound, as phones record: without it, frames as tiny as these would share huge chunks that no camera writes.
    encode: [
      ...['-f', 'lavfi', '-i', 'anullsrc=r=48000', '-shortest'],
      ...['-vf', 'loop=loop=11:size=12000,settb=1/240,setpts=N', '-r', '240'],
      ...['-c:v', 'libx264', '-preset', 'ultrafast', '-crf', '40', '-pix_fmt', 'yuv420p', '-g', '240', '-c:a', 'aac'],
    ],
  })
  const minute = makeBarcodeClip({
    name: 'bench-minute',
    extension: 'mp4',
    width: 480,
    height: 270,
    frames: 60,
    encode: [
      '-vf',
      'loop=loop=29:size=60,setpts=N/30/TB,scale=1920:1080:flags=neighbor,noise=alls=6:allf=t',
      '-c:v',
      'libx264',
      '-preset',
      'ultrafast',
      '-crf',
      '26',
      '-pix_fmt',
      'yuv420p',
      '-g',
      '30',
    ],
  })
  const bench = await startDecodePage({ isolated: true })
  try {
    const opening: number[] = []
    for (let round = 0; round < rounds; round++) {
      const outcome = await bench.ask('open', [bench.url(long)], [basename(long)])
      if (!('facts' in outcome)) throw new Error(outcome.sentence)
      opening.push(outcome.ms / 1000)
      if (outcome.facts.frames !== 144_000) throw new Error(`${outcome.facts.frames} frames instead of 144 000`)
    }
    const outcome = await bench.ask('open', [bench.url(minute)], [basename(minute)])
    if (!('facts' in outcome)) throw new Error(outcome.sentence)
    const { frames } = outcome.facts
    for (let first = 0; first < frames; first += 200)
      await bench.ask('time', range(first, Math.min(frames, first + 200)))
    for (let last = frames; last > 0; last -= 200)
      await bench.ask('time', range(Math.max(0, last - 200), last).reverse())
    return [
      figure('open.index_10min_240fps.s', median(opening), 's'),
      figure('memory.peak_mib', peakOfRenderers_mib(), 'MiB'),
    ]
  } finally {
    await bench.close()
  }
}

const range = (from: number, to: number): number[] => Array.from({ length: to - from }, (_, i) => from + i)

/** Highest resident size so far of the largest renderer process that this program started. */
function peakOfRenderers_mib(): number {
  const parents = new Map<number, number>()
  const peaks = new Map<number, number>()
  for (const entry of readdirSync('/proc')) {
    if (!/^\d+$/.test(entry)) continue
    try {
      const status = readFileSync(`/proc/${entry}/status`, 'utf8')
      parents.set(Number(entry), Number(/^PPid:\s+(\d+)/m.exec(status)?.[1] ?? 0))
      if (!readFileSync(`/proc/${entry}/cmdline`, 'utf8').includes('--type=renderer')) continue
      peaks.set(Number(entry), Number(/^VmHWM:\s+(\d+)/m.exec(status)?.[1] ?? 0) / 1024)
    } catch {
      // The process ended while we were looking.
    }
  }
  const ours = (pid: number): boolean => {
    for (let at = pid; at > 1; at = parents.get(at) ?? 0) if (at === process.pid) return true
    return false
  }
  const own = [...peaks].filter(([pid]) => ours(pid)).map(([, peak]) => peak)
  if (own.length === 0) throw new Error('no renderer process found under this one')
  return Math.max(...own)
}
