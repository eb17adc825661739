import { problemSentence } from '../../fit/index.ts'
import type { Run } from '../../record/index.ts'
import { finishName, laneKey, runNumbers, type TableSource } from './source.ts'
import { measured, number, tableOf, text, truth, whole, type Table } from './table.ts'

const directions = ['down', 'up', 'level'] as const

/** One row a run: what it is, and what it gave by itself. */
export function runsTable({ record, runs, results, runResults }: TableSource): Table {
  const numbers = runNumbers(record)
  const problems = new Map<string, string[]>()
  for (const problem of results.flatMap((result) => result.problems)) {
    if (!('runId' in problem)) continue
    problems.set(problem.runId, [...(problems.get(problem.runId) ?? []), problemSentence(record, problem)])
  }
  const result = (run: Run) => runResults.get(run.id) ?? null
  return tableOf<Run>(
    {
      name: 'runs',
      title: 'Runs',
      description: 'One passage of one ball along one lane in one clip, with its own speeds, acceleration and time.',
      primaryKey: ['run_id'],
      foreignKeys: [{ fields: ['lane_id', 'finish_id'], table: 'lanes', refersTo: ['lane_id', 'finish_id'] }],
    },
    [
      text('run_id', 'run', (run) => run.id, { required: true }),
      text('lane_id', 'lane', (run) => run.laneId, { required: true }),
      text('finish_id', 'finish', (run) => run.finishId, { required: true }),
      text('lane', 'letter of the lane', (run) => laneKey(record, run.laneId)),
      whole('number', 'number of the run among those of its lane', (run) => numbers.get(run.id) ?? null),
      text('finish', 'name of the finish', (run) => finishName(record, run.finishId)),
      text('mounting', 'fixing of the lane', (run) => record.mountings[run.mountingId]?.name ?? run.mountingId),
      text('ball', 'ball', (run) => record.balls[run.ballId]?.name ?? run.ballId),
      text('view', 'camera position', (run) => record.views[run.viewId]?.name ?? run.viewId),
      text('clip', 'file of the clip', (run) => record.clips[run.clipId]?.name ?? run.clipId),
      text('clip_sha256', 'SHA-256 of the clip', (run) => record.clips[run.clipId]?.sha256 ?? null),
      text('direction', 'which way the ball goes', (run) => run.direction, { oneOf: directions }),
      truth('excluded', 'left out by the person', (run) => run.excluded ?? false, { required: true }),
      whole('marks', 'marks', (run) => run.marks.frame.length, { required: true }),
      truth('fitted', 'part of a result', (run) => result(run) !== null, { required: true }),
      whole('marks_used', 'marks used in the fit', (run) => result(run)?.marks ?? null),
      whole('resting_before', 'marks before the ball left, not used', (run) => result(run)?.resting.before ?? null),
      whole('resting_after', 'marks after it came to rest, not used', (run) => result(run)?.resting.after ?? null),
      whole('outliers', 'marks far off the fit', (run) => result(run)?.outliers.length ?? null),
      ...measured<Run>('entry_speed', '_m_s', 'm/s', 'speed at the entry', (run) => result(run)?.entry),
      ...measured<Run>('exit_speed', '_m_s', 'm/s', 'speed at the exit', (run) => result(run)?.exit),
      ...measured<Run>(
        'acceleration',
        '_m_s2',
        'm/s2',
        'acceleration along the travel',
        (run) => result(run)?.acceleration,
      ),
      ...measured<Run>('transit', '_s', 's', 'time from entry to exit', (run) => result(run)?.transit),
      number(
        'distance_per_turn_m',
        'm',
        'way per turn of the ball, from its pattern',
        (run) => run.spin?.perTurn_m ?? null,
      ),
      number('distance_per_turn_u_m', 'm', 'way per turn, standard uncertainty', (run) => run.spin?.u_m ?? null),
      text('problems', 'why it has no result', (run) => problems.get(run.id)?.join(' ') ?? null),
      text('note', 'remark', (run) => run.note ?? null),
    ],
    () => runs,
  )
}
