import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { laneResults } from '../../workers/fit/index.ts'
import { collectErrors } from '../support/browser.ts'
import { longRun } from '../support/long-run.ts'
import { doMainJob, readFigures, type MainJob } from '../support/main-job.ts'
import { everyNth, filmedBall, trueFigures, usedMarks } from '../support/main-job-truth.ts'
import { repository } from '../support/repository.ts'
import { servedPage } from '../support/served-page.ts'
import { savedFile } from '../support/stations-page.ts'

const served = servedPage()

interface Filmed {
  readonly name: string
  readonly ball: string
  readonly truth: string
  readonly job: Omit<MainJob, 'corners'>
}

const data = (name: string): string => join(repository, 'tests/data/clips', name)
const inch34 = '19.05 mm (3/4 in)'

const jobs: readonly Filmed[] = [
  {
    name: 'an H.264 clip, rate typed',
    ball: 'A1',
    truth: data('b_three_as_cut.truth.json'),
    job: {
      file: data('b_three_as_cut.mp4'),
      time: /^Filmed at 240/,
      width: '420 ± 0.3',
      height: '285 ± 0.3',
      slope_deg: 1.6,
      diameter: inch34,
      included: undefined,
      every: 4,
    },
  },
  {
    name: 'a Motion JPEG clip in AVI through the fallback decoder, in the file’s own time',
    ball: 'B1',
    truth: join(repository, 'samples/clips/lane-b-motion-jpeg.truth.json'),
    job: {
      file: join(repository, 'samples/clips/lane-b-motion-jpeg.avi'),
      time: /^The file’s own time/,
      width: '430 ± 0.3',
      height: '160 ± 0.3',
      slope_deg: 2.3,
      diameter: '18 mm',
      included: '100 ± 1',
      every: 4,
    },
  },
]

/** The other three clips of the independent renderer: minutes of pressing, so only in the long run. */
const longJobs: readonly Filmed[] = [
  {
    name: 'one lane, rate taken from the file’s tag',
    ball: 'A1',
    truth: data('a_single_v.truth.json'),
    job: {
      file: data('a_single_v.mp4'),
      time: /^Filmed at 240, says the file/,
      width: '440 ± 0.3',
      height: '200 ± 0.3',
      slope_deg: 2.4,
      diameter: inch34,
      included: undefined,
      every: 4,
    },
  },
  {
    name: 'a steeper groove after sanding',
    ball: 'B1',
    truth: data('c_three_sanded.truth.json'),
    job: {
      file: data('c_three_sanded.mp4'),
      time: /^Filmed at 240/,
      width: '420 ± 0.3',
      height: '285 ± 0.3',
      slope_deg: 2.2,
      diameter: inch34,
      included: '75 ± 1',
      every: 4,
    },
  },
  {
    name: 'a nearly level lane that slows the ball downhill',
    ball: 'A1',
    truth: data('d_level_both_ways.truth.json'),
    job: {
      file: data('d_level_both_ways.mp4'),
      time: /^The file’s own time/,
      width: '460 ± 0.3',
      height: '160 ± 0.3',
      slope_deg: 0.12,
      diameter: '25.4 mm (1 in)',
      included: undefined,
      every: 4,
    },
  },
]

describe('a newcomer with a mouse measures a lane from footage to resistance, within the stated U of the truth', () => {
  test.each(longRun ? [...jobs, ...longJobs] : jobs)(
    '$name',
    { timeout: 900_000 },
    async ({ ball, truth: file, job }) => {
      const { seen, lane, corners } = await filmedBall(file, ball)
      const marked = everyNth(seen, job.every)

      const context = await served.browser.newContext({
        viewport: { width: 1440, height: 900 },
        serviceWorkers: 'block',
      })
      // No window for choosing files in an unattended browser: saving goes to downloads.
      await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
      const page = await context.newPage()
      const errors = collectErrors(page)
      await doMainJob(page, served.address, { ...job, corners }, seen, marked)
      const read = await readFigures(page)
      const saved = await savedFile(page)
      await context.close()

      const { entry, exit, acceleration, crr, drawn } = read
      if (saved.kind !== 'ok') throw new Error(`the saved record is ${saved.kind}`)
      const truth = trueFigures(seen, lane, marked, read)
      const { used, sigma_m } = usedMarks(laneResults(saved.record)[0]!.series[0]!, marked)
      const sameFit = trueFigures(seen, lane, used, read, sigma_m)
      const off = (figure: { value: number; U: number }, is: number) =>
        `${figure.value} ± ${figure.U}, truth ${is.toPrecision(5)}`
      console.log(
        `${ball}: entry ${off(entry, truth.entry)}; exit ${off(exit, truth.exit)}; a ${off(acceleration, sameFit.acceleration)}; C_rr ${off(crr, truth.crr)}; by draws ± ${drawn.U}`,
      )
      expect(Math.abs(entry.value - truth.entry)).toBeLessThanOrEqual(entry.U)
      expect(Math.abs(exit.value - truth.exit)).toBeLessThanOrEqual(exit.U)
      expect(Math.abs(acceleration.value - sameFit.acceleration)).toBeLessThanOrEqual(acceleration.U)
      expect(Math.abs(crr.value - truth.crr)).toBeLessThanOrEqual(crr.U)
      expect(Math.abs(crr.value - sameFit.crr)).toBeLessThanOrEqual(crr.U)
      // Nothing holds by a U that is wider than the stated inputs ask for.
      expect(crr.U).toBeLessThanOrEqual(1.5 * drawn.U)
      expect(errors).toEqual([])
    },
  )
})
