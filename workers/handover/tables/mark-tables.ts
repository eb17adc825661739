import { samplesOf, settingOf, type SampleProblem, type Setting } from '../../measure/index.ts'
import { doubtCodes, noDeviations, Origin, type Marks, type Run } from '../../record/index.ts'
import { number, tableOf, text, truth, whole, type Table } from './table.ts'
import type { TableSource } from './source.ts'

interface MarkRow {
  readonly runId: string
  readonly marks: Marks
  readonly i: number
}

/** Marks as they were placed or found, in the displayed picture. */
export function marksTable({ runs }: TableSource): Table {
  return tableOf<MarkRow>(
    {
      name: 'marks',
      title: 'Marks',
      description:
        'Where the ball’s centre was seen on each marked frame: displayed picture, x right, y down, pixel centres at .5. With these and the record every result recomputes.',
      primaryKey: ['run_id', 'frame'],
      foreignKeys: [{ fields: ['run_id'], table: 'runs', refersTo: ['run_id'] }],
    },
    [
      text('run_id', 'run', ({ runId }) => runId, { required: true }),
      whole('mark', 'number of the mark in its run, from 0', ({ i }) => i, { required: true }),
      whole('frame', 'frame of the clip, from 0', ({ marks, i }) => marks.frame[i]!, { required: true }),
      number(
        'ticks',
        '{ticks}',
        'the frame’s time in the clip’s time scale',
        ({ marks, i }) => marks.ticks[i]!,
        required,
      ),
      number('x_px', '{pixels}', 'x of the centre', ({ marks, i }) => marks.x[i]!, required),
      number('y_px', '{pixels}', 'y of the centre', ({ marks, i }) => marks.y[i]!, required),
      number(
        'sigma_px',
        '{pixels}',
        'standard uncertainty along the lane',
        ({ marks, i }) => marks.sigma[i]!,
        required,
      ),
      text('origin', 'where the mark comes from', ({ marks, i }) => marks.origin[i]!, { oneOf: Origin.options }),
      text('doubt', 'what it is doubted for', ({ marks, i }) => doubtWord(marks.doubt[i]!), required),
    ],
    function* () {
      for (const { id: runId, marks } of runs) for (let i = 0; i < marks.frame.length; i++) yield { runId, marks, i }
    },
  )
}

const required = { required: true } as const
const doubtWord = (code: number): string => doubtCodes[code] ?? String(code)

interface SampleRow {
  readonly runId: string
  readonly mark: number
  readonly frame: number
  readonly t_s: number
  readonly s_m: number
  readonly sigma_m: number
  readonly across_m: number
  /** Null where the mark was not used in the fit. */
  readonly residual_m: number | null
}

/** Marks as seconds and metres along the lane, with what the fit leaves over. */
export function samplesTable(source: TableSource): Table {
  return tableOf<SampleRow>(
    {
      name: 'samples',
      title: 'Samples',
      description:
        'Position over time of every run: seconds of the clip’s real time, metres along the lane’s line from its start. sigma_m is that of the mark alone; what all marks share (scale, slope, rate) is in the results.',
      primaryKey: ['run_id', 'frame'],
      foreignKeys: [
        { fields: ['run_id', 'frame'], table: 'marks', refersTo: ['run_id', 'frame'] },
        { fields: ['run_id'], table: 'runs', refersTo: ['run_id'] },
      ],
    },
    [
      text('run_id', 'run', (row) => row.runId, required),
      whole('mark', 'number of the mark in its run, from 0', (row) => row.mark, required),
      whole('frame', 'frame of the clip, from 0', (row) => row.frame, required),
      number('t_s', 's', 'time', (row) => row.t_s, required),
      number('s_m', 'm', 'position along the lane', (row) => row.s_m, required),
      number('sigma_m', 'm', 'standard uncertainty of the position', (row) => row.sigma_m, required),
      number(
        'across_m',
        'm',
        'distance from the lane’s line, positive to the right of its direction',
        (row) => row.across_m,
      ),
      truth('in_fit', 'used in the fit', (row) => row.residual_m !== null, required),
      number('residual_m', 'm', 'position less the fitted one', (row) => row.residual_m),
    ],
    () => sampleRows(source),
  )
}

function* sampleRows({ record, runs, runResults }: TableSource): Iterable<SampleRow> {
  const settings = new Map<string, Setting | SampleProblem>()
  for (const run of runs) {
    const key = `${run.laneId} ${run.viewId} ${run.clipId}`
    const setting = settings.get(key) ?? settingOf(record, run, noDeviations)
    settings.set(key, setting)
    // A run that cannot be turned into metres has no samples; the table of runs says why.
    if (setting.kind !== 'setting') continue
    yield* samplesOfRun(record, run, setting, runResults)
  }
}

function* samplesOfRun(
  record: TableSource['record'],
  run: Run,
  setting: Setting,
  runResults: TableSource['runResults'],
): Iterable<SampleRow> {
  const samples = samplesOf(record, run.id, noDeviations, setting)
  if (samples.kind !== 'samples') return
  const residuals = new Map<number, number>()
  const fitted = runResults.get(run.id)?.residuals
  for (const [k, mark] of (fitted?.mark ?? []).entries()) residuals.set(mark, fitted!.residual_m[k]!)
  for (let k = 0; k < samples.frame.length; k++) {
    const mark = samples.mark[k]!
    yield {
      runId: run.id,
      mark,
      frame: samples.frame[k]!,
      t_s: samples.t_s[k]!,
      s_m: samples.s_m[k]!,
      sigma_m: samples.sigma_m[k]!,
      across_m: samples.across_m[k]!,
      residual_m: residuals.get(mark) ?? null,
    }
  }
}
