import { useEffect, useState } from 'react'
import { noMarginSentence } from '../../../workers/decide/margin-sentences.ts'
import { useRecord } from '../../record/store.ts'
import { useResults, watchResults } from '../results/results-store.ts'
import { MarginSheet } from './margin-sheet.tsx'
import { MarginTable } from './margin-table.tsx'
import { marginRows, mostUrgent } from './margins.ts'
import { Wishes } from './wishes.tsx'
import '../results/results.css'
import '../compare/compare.css'
import './margin.css'

export function MarginPage() {
  useEffect(() => watchResults(() => undefined), [])
  const { results, working, failure } = useResults()
  const record = useRecord((r) => r)
  const [chosen, setChosen] = useState<string | null>(null)
  if (failure !== null && !results) return <p className="damage page-sheet">{failure}</p>
  if (!results) return <p className="page-sheet quiet">Working out the results …</p>
  const rows = marginRows(record, results)
  const open = rows.find((row) => row.key === chosen) ?? mostUrgent(rows)
  if (!open) return <NoMargins />
  const { margin } = open
  return (
    <div className="results-page" aria-busy={working}>
      {failure !== null && <p className="damage">{failure}</p>}
      <MarginTable rows={rows} open={open.key} onOpen={setChosen} />
      <Wishes setting={margin.kind === 'margin' ? margin.setting : null} />
      {margin.kind === 'margin' ? (
        <MarginSheet key={open.key} margin={margin} results={results} />
      ) : (
        <p className="lane-sheet">{noMarginSentence(record, open.result.laneId, margin)}</p>
      )}
    </div>
  )
}

function NoMargins() {
  return (
    <section className="page-sheet no-results">
      <svg viewBox="0 0 320 90" width="320" height="90" aria-hidden="true">
        <path d="M8 30 L312 74" className="faint bar" />
        <path d="M8 12 L312 34" className="faint" />
      </svg>
      <p>
        Here each lane shows how far it is from stalling a ball: its slope window, its reserve in millimetres, and the
        shim that gives it more.
      </p>
      <p>
        It needs a lane with its C<sub>rr</sub>. <a href="#/marks">Mark runs</a> that go down it.
      </p>
    </section>
  )
}
