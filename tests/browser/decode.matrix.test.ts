import { readdirSync } from 'node:fs'
import { basename, join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { codecClips, type CodecClip } from '../support/codec-clips.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { longRun } from '../support/long-run.ts'
import { nativeFrames, probedTimes_s } from '../support/native-ffmpeg.ts'
import { seededRandom, shuffled } from '../support/random-order.ts'

/** Timestamps agree when they differ by less than this: ffprobe prints microseconds. */
const printedStep_s = 1.1e-6

interface Row {
  readonly clip: string
  readonly isolated: boolean
  readonly decoder: string
  readonly frames: string
  readonly bits: string
  readonly times: string
}
const rows: Row[] = []

afterAll(() => {
  const lines = rows.map(
    ({ clip, isolated, decoder, frames, bits, times }) =>
      `| ${clip} | ${isolated ? 'yes' : 'no'} | ${decoder} | ${frames} | ${bits} | ${times} |`,
  )
  console.log(
    [
      '| clip | isolated | decoder | frames right | luma as native | timestamps right |',
      '| --- | --- | --- | --- | --- | --- |',
      ...lines,
    ].join('\n'),
  )
})

/** A tenth of the clips in the short run, by seed, but always the ones that phones make. */
function chosen(isolated: boolean): readonly CodecClip[] {
  if (longRun) return codecClips
  const random = seededRandom(isolated ? 20 : 21)
  const always = new Set(isolated ? ['h264-b-frames', 'hevc'] : ['mjpeg-mov'])
  return codecClips.filter((clip) => random() < 0.1 || always.has(clip.name))
}

describe.each([true, false])('cross-origin isolated: %s', (isolated) => {
  let bench: DecodeBench
  beforeAll(async () => {
    bench = await startDecodePage({ isolated })
  })
  afterAll(() => bench.close())

  test.each(chosen(isolated).map((clip) => [clip.name, clip] as const))(
    '%s: the right frames at the right times',
    async (name, clip) => {
      const path = makeBarcodeClip(clip)
      const files =
        clip.stills === true
          ? readdirSync(path)
              .sort()
              .map((file) => join(path, file))
          : [path]
      const outcome = await bench.ask(
        'open',
        files.map((file) => bench.url(file)),
        files.map((file) => basename(file)),
      )
      if (!('facts' in outcome)) throw new Error(`${outcome.kind}: ${outcome.sentence}`)
      const { facts } = outcome
      const truth = truthOf(clip, files)

      const forwards = Array.from({ length: facts.frames }, (_, i) => i)
      const order = [...forwards, ...[...forwards].reverse(), ...shuffled(forwards, 3).slice(0, 60)]
      const frames = await bench.ask('read', order)
      const right = frames.filter(({ frame, number }) => number === truth.numbers[frame]).length
      const exact = clip.exact === 'bits' ? frames.filter(({ frame, md5 }) => md5 === truth.md5[frame]).length : null
      const times = facts.ticks.filter(
        (tick, frame) => Math.abs(tick / facts.timescale_hz - (truth.times_s[frame] ?? NaN)) < printedStep_s,
      ).length
      const timed = clip.stills === true ? null : times
      rows.push({
        clip: name,
        isolated,
        decoder: facts.decoder,
        frames: `${right} of ${order.length}`,
        bits: exact === null ? '–' : `${exact} of ${order.length}`,
        times: timed === null ? '–' : `${timed} of ${facts.frames}`,
      })

      expect(facts.decoder).toBe(clip.decoder)
      expect(facts.frames).toBe(truth.numbers.length)
      expect(right, 'frames with the right number').toBe(order.length)
      if (exact !== null) expect(exact, 'frames whose luma is that of native ffmpeg').toBe(order.length)
      if (timed !== null) expect(timed, 'frames with the right time').toBe(facts.frames)
      expect(facts.damage).toBeNull()
      expect(frames.filter(({ doubtful }) => doubtful)).toEqual([])
      expect(facts.rotation_deg).toBe(clip.rotation_deg ?? 0)
      if (name === 'h264-240-fps-phone') expect(facts.filmingRateTag_hz).toBe(240)
      expect((await bench.ask('state')).openFrames).toBe(0)
    },
  )
})

/** What native ffmpeg and ffprobe say of the clip. The number of a frame is read from its bar code by construction: the
 *  generator numbers from 0, and a cut by edit list begins later, at the frame that ffmpeg shows first. */
function truthOf(clip: CodecClip, files: readonly string[]): { numbers: number[]; md5: string[]; times_s: number[] } {
  if (clip.stills === true) return { numbers: files.map((_, i) => i), md5: [], times_s: [] }
  const path = files[0] ?? ''
  const native = nativeFrames(path, clip.extension === 'gif' ? 'format=gray' : undefined)
  const first = (clip.frames ?? 90) - native.length
  const probed = probedTimes_s(path)
  expect(probed.length, 'ffprobe and ffmpeg agree on the number of frames').toBe(native.length)
  // ffprobe has no time for the last frames of an AVI with reordered frames; ffmpeg itself counts on.
  const times_s = probed.map((time, i) => (Number.isNaN(time) ? (native[i]?.time_s ?? NaN) : time))
  return {
    numbers: native.map((_, i) => first + i),
    md5: native.map(({ md5 }) => md5),
    times_s,
  }
}
