import { releaseIntervals, type Releases } from '../../../workers/physics/release-intervals.ts'
import { settingOf, samplesOf } from '../../../workers/measure/samples.ts'
import { noDeviations, type SlowlaneRecord } from '../../../workers/record/index.ts'

/** How balls follow each other along one lane in one clip, one way; distances in metres. */
export type LaneReleases = Releases & { readonly laneId: string }

/** Release intervals and spacings of every lane of a clip along which two or more balls went the same way. Lanes without scale or time are left out. */
export function releasesOf(record: SlowlaneRecord, clipId: string): readonly LaneReleases[] {
  const clip = record.clips[clipId]
  const here = Object.values(record.runs).filter((run) => run.clipId === clipId && !run.excluded)
  if (!clip) return []
  const time_s = new Float64Array(clip.frames)
  const lanes = [...new Set(here.map((run) => run.laneId))]
  return lanes.flatMap((laneId) => {
    const own = here.filter((run) => run.laneId === laneId && run.marks.frame.length >= 4)
    if (own.length < 2) return []
    const setting = settingOf(record, own[0]!, noDeviations)
    if (setting.kind !== 'setting') return []
    const passing = own.flatMap((run) => {
      const samples = samplesOf(record, run.id, noDeviations, setting)
      if (samples.kind !== 'samples' || samples.frame.length < 4) return []
      samples.frame.forEach((frame, i) => (time_s[frame] = samples.t_s[i]!))
      const direction: 1 | -1 = samples.s_m.at(-1)! >= samples.s_m[0]! ? 1 : -1
      return [{ lane: laneId, direction, frames: samples.frame, s: samples.s_m, sigma: samples.sigma_m }]
    })
    return ([1, -1] as const).flatMap((direction) => {
      const outcome = releaseIntervals(passing, laneId, direction, time_s)
      return outcome.kind === 'releases' ? [{ ...outcome, laneId }] : []
    })
  })
}
