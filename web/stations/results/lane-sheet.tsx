import type { LaneResult } from '../../../workers/fit/results.ts'
import { flagSentence, improveFirst, problemSentence } from '../../../workers/fit/sentences.ts'
import { units } from '../../format/units.ts'
import { laneNumber } from '../../picture/lane-stroke.ts'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { BudgetBars } from './budget-bars.tsx'
import { DrawnCheck } from './drawn-check.tsx'
import { ModelChoice } from './model-choice.tsx'
import { LocalPlot, MotionPlots } from './motion-plots.tsx'
import { NextRuns } from './next-runs.tsx'
import { rowKey } from './row-key.ts'
import { RunsTable } from './runs-table.tsx'
import { Ways } from './ways.tsx'

/** The open lane, read from left to right: what it did, where along it, what the ± is made of. */
export function LaneSheet({ result }: { readonly result: LaneResult }) {
  const record = useRecord((r) => r)
  const main = result.main === null ? null : result.series[result.main]!
  const first = improveFirst(result)
  const key = record.lanes[result.laneId]?.key ?? 'A'
  const of = `lane ${key} ${record.finishes[result.finishId]?.name ?? ''}`
  return (
    <section className="lane-sheet" aria-label={`Sheet of ${of}`}>
      <header className="lane-sheet-head">
        <LaneChip laneId={result.laneId} />
        <h3>{record.finishes[result.finishId]?.name}</h3>
        {main && <Setting result={result} />}
      </header>
      {result.problems.map((problem, i) => (
        <p key={i} className="damage">
          {problemSentence(record, problem)}
        </p>
      ))}
      {main && (
        <div className="lane-sheet-columns">
          <MotionPlots series={main} lane={laneNumber(key)} of={of} />
          <div>
            <LocalPlot series={main} lane={laneNumber(key)} of={of} />
            <RunsTable result={result} />
          </div>
          <div>
            {result.crr && <BudgetBars rows={result.budget} U={result.crr.U} />}
            {first && <p>{first}</p>}
            <NextRuns result={result} />
            <Ways result={result} />
            <ModelChoice series={main} rowKey={rowKey(result)} />
            {result.crr && <DrawnCheck key={rowKey(result)} result={result} />}
          </div>
        </div>
      )}
      {result.flags.length > 0 && (
        <ul className="flag-sentences">
          {result.flags.map((flag, i) => (
            <li key={i}>{flagSentence(record, flag)}</li>
          ))}
        </ul>
      )}
    </section>
  )
}

/** Ball, guide and slope in one line, as they went into the result. */
function Setting({ result }: { readonly result: LaneResult }) {
  const record = useRecord((r) => r)
  const main = result.series[result.main!]!
  const ball = record.balls[main.ballId]
  const deg = record.settings.slopeUnit === 'deg'
  return (
    <p className="quiet lane-setting">
      {ball?.name}
      {main.rollingRadius && (
        <>
          , r<sub>e</sub> <ValueU value={main.rollingRadius.value} U={main.rollingRadius.U} unit={units.mm} withUnit />
        </>
      )}
      {main.inertiaFactor && (
        <>
          , inertia factor <ValueU value={main.inertiaFactor.value} U={main.inertiaFactor.U} unit={units.one} />
        </>
      )}
      {main.slope &&
        (deg ? (
          <>
            , slope <ValueU value={main.slope.value} U={main.slope.U} unit={units.deg} withUnit />
          </>
        ) : (
          <>
            , slope{' '}
            <ValueU
              value={Math.tan(main.slope.value)}
              U={main.slope.U / Math.cos(main.slope.value) ** 2}
              unit={units.mm_per_m}
              withUnit
            />
          </>
        ))}
      {result.stretch && (
        <>
          ; entry at {Math.round(main.entry ? main.entry.at_m * 1000 : result.stretch.from_m * 1000)} mm, exit at{' '}
          {Math.round(main.exit ? main.exit.at_m * 1000 : result.stretch.to_m * 1000)} mm
        </>
      )}
    </p>
  )
}
