import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { makeBarcodeClip } from '../support/barcode-clip.ts'
import { damagedClips, soundAvi } from '../support/damaged-clips.ts'
import { startDecodePage, type DecodeBench } from '../support/decode-page.ts'
import { longRun } from '../support/long-run.ts'
import { cacheFolder } from '../support/repository.ts'

const longSeries = damagedClips(2026, 500)
/** Of the long series: Matroska and WebM whose end the reader of containers circles in; MP4 with a time of a day and a half, or
 *  whose tables name so many frames that the reader stands still or runs out of memory; motion JPEG where the decoder hands out
 *  an earlier picture with a warning only. */
const oftenRun = [...[12, 113, 302, 399], ...[117, 280, 369, 468], ...[187, 223]]
const clips = longRun ? longSeries : [...damagedClips(11, 60), ...longSeries.filter((_, i) => oftenRun.includes(i))]
const limit_ms = 10_000

let bench: DecodeBench
beforeAll(async () => {
  bench = await startDecodePage({ isolated: true })
})
afterAll(() => bench.close())

test(
  `${clips.length} damaged files: no crash, no hang past 10 s, no wrong number that is not marked doubtful`,
  async () => {
    // The first use of ffmpeg compiles it, which is no hang: done before the clock runs.
    await bench.ask('open', [bench.url(makeBarcodeClip(soundAvi))], ['warm.avi'])
    const outcomes = new Map<string, number>()
    const wrong: string[] = []
    const slow: string[] = []
    let longest_ms = 0
    for (const { fileName, bytes, label } of clips) {
      const path = join(cacheFolder('clips/fuzz'), fileName)
      writeFileSync(path, bytes)
      const start = performance.now()
      const outcome = await bench.ask('open', [bench.url(path)], [fileName])
      const opening_ms = performance.now() - start
      longest_ms = Math.max(longest_ms, opening_ms)
      if (opening_ms > limit_ms) slow.push(`${label}, opening`)
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
    console.log('fuzz outcomes:', Object.fromEntries(outcomes), `longest to open: ${Math.round(longest_ms)} ms`)
    expect(slow).toEqual([])
    expect(wrong).toEqual([])
    expect((await bench.ask('state')).openFrames).toBe(0)
    expect(outcomes.get('open') ?? 0, 'some files still open').toBeGreaterThan(clips.length / 5)
  },
  longRun ? 3_600_000 : 600_000,
)
