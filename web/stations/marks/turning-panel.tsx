import type { Run } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { Flag } from '../../parts/flag.tsx'
import { ValueU } from '../../parts/value-u.tsx'
import { useRecord } from '../../record/store.ts'
import { turningReport, type TurningReport } from './turning.ts'

/** What the ball's pattern tells of its turning, against what the guide says. */
export function TurningPanel({ run }: { readonly run: Run }) {
  const record = useRecord((r) => r)
  const report = turningReport(record, run)
  if (!report) return null
  const { guide } = report
  return (
    <section aria-labelledby="turning-head">
      <h2 id="turning-head">Turning</h2>
      <dl className="facts">
        <div>
          <dt>one turn every</dt>
          <dd>
            <ValueU value={report.perTurn_m} U={report.perTurnU_m} unit={units.mm} withUnit />
          </dd>
        </div>
        <div>
          <dt>
            rolling radius r<sub>e</sub>, measured
          </dt>
          <dd>
            <ValueU value={report.rollingRadius_m} U={report.rollingRadiusU_m} unit={units.mm} withUnit />
          </dd>
        </div>
        {guide && (
          <div>
            <dt>
              r<sub>e</sub> by the guide
            </dt>
            <dd>
              <ValueU value={guide.rollingRadius_m} U={guide.U_m} unit={units.mm} withUnit />
            </dd>
          </div>
        )}
      </dl>
      <p className="small">
        {guide && guide.verdict !== 'agrees' && <Flag>{guide.verdict === 'slides' ? 'slip' : 'does not fit'}</Flag>}{' '}
        {verdictSentence(report)}
      </p>
      {report.changed !== null && (
        <p className="small quiet">
          The scale or the marks have changed since by {showPlain(Math.abs(100 * report.changed), 2)} %. Remove this run
          and find it again to read its turning afresh.
        </p>
      )}
    </section>
  )
}

function verdictSentence({ guide, turns }: TurningReport): string {
  const seen = `Read from the ball’s pattern over ${showPlain(turns, 2)} turns.`
  if (!guide) return `${seen} The guide’s dimensions are not known well enough to compare.`
  const share = `${showPlain(Math.abs(100 * guide.off), 2)} %`
  switch (guide.verdict) {
    case 'agrees':
      return `${seen} It agrees with the guide: the ball rolls without sliding.`
    case 'slides':
      return `${seen} The ball goes ${share} further per turn than the guide lets it roll: it slides, or it rides higher than the guide’s dimensions say.`
    case 'turns-more':
      return `${seen} The ball goes ${share} less per turn than the guide says, which sliding cannot do: check the groove’s angle, the ball’s diameter and the scale.`
  }
}
