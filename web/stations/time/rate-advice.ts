import { noDeviations, valueOf, type Clip, type SlowlaneRecord, type View } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'

/** Rates that cameras film at [frames per second] (common practice, no source). */
export const filmingRates = [
  24, 25, 30, 50, 60, 90, 100, 120, 180, 200, 240, 250, 300, 480, 500, 600, 960, 1000,
] as const

/** Rates worth offering for a clip: the file's tag, then the slow-motion rates above what the file plays at. */
export function offeredRates(clip: Clip): readonly number[] {
  const slow = [120, 240, 480, 960].filter((rate) => rate > 1.05 * clip.fileRate_hz)
  const offered = clip.filmingRateTag_hz === null ? slow : [clip.filmingRateTag_hz, ...slow]
  return [...new Set(offered.map((rate) => Math.round(rate * 1000) / 1000))].slice(0, 5)
}

/** A file that plays at an ordinary rate may hold frames filmed much faster: nothing in it need say so. */
export const mayBeSlowed = (clip: Clip): boolean => clip.fileRate_hz <= 61

export interface Advice {
  readonly tone: 'told' | 'caution'
  readonly text: string
}

/** What to think about the time rule of a clip, with the figures that say so; null when it is sound. */
export function rateAdvice(record: SlowlaneRecord, clip: Clip, view: View): Advice | null {
  const plays = showPlain(clip.fileRate_hz, 5)
  const tag = clip.filmingRateTag_hz
  switch (view.timebase.kind) {
    case 'unset':
      return null
    case 'file': {
      if (tag !== null && Math.abs(tag / clip.fileRate_hz - 1) > 0.02) {
        const times = tag / clip.fileRate_hz
        return {
          tone: 'caution',
          text: `The file's tag says filmed at ${showPlain(tag, 5)}, yet its time runs at ${plays}: by the file's time every speed comes out ${showPlain(times, 3)} times too small and every acceleration ${showPlain(times ** 2, 3)} times.`,
        }
      }
      return mayBeSlowed(clip)
        ? {
            tone: 'caution',
            text: `The file plays at ${plays} frames per second. If this is slow motion, its time is stretched: filmed at 240, speeds would come out ${showPlain(240 / clip.fileRate_hz, 3)} times too small.`,
          }
        : null
    }
    case 'filmed-at': {
      const rate = valueOf(view.timebase.rate_hz, record.sources, noDeviations)
      if (!(rate > 0))
        return {
          tone: 'caution',
          text: `A rate of ${showPlain(rate)} gives no time. Type the frames per second, for example 240.`,
        }
      if (rate < 0.95 * clip.fileRate_hz)
        return {
          tone: 'caution',
          text: `${showPlain(rate, 5)} frames per second is less than the ${plays} the file plays at: that would be time lapse. Check the rate.`,
        }
      if (tag !== null && Math.abs(rate / tag - 1) > 0.02)
        return {
          tone: 'caution',
          text: `The file's tag says ${showPlain(tag, 5)}, ${showPlain(rate, 5)} is typed: speeds differ by ${showPlain(100 * (rate / tag - 1), 2)} %. One of them is wrong.`,
        }
      return filmingRates.some((usual) => Math.abs(rate / usual - 1) < 0.02)
        ? null
        : {
            tone: 'caution',
            text: `${showPlain(rate, 5)} is no usual filming rate. If it was read off a screen, measure it in the clip.`,
          }
    }
    case 'measured':
      return null
  }
}
