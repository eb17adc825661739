import { useEffect, useState } from 'react'
import { LaneSheet } from './lane-sheet.tsx'
import { NoResults } from './no-results.tsx'
import { ResultsTable } from './results-table.tsx'
import { useResults, watchResults } from './results-store.ts'
import { rowKey } from './row-key.ts'
import './results.css'

export function ResultsPage() {
  useEffect(() => watchResults(() => undefined), [])
  const { results, working, failure } = useResults()
  const [chosen, setChosen] = useState<string | null>(null)
  if (failure !== null && !results) return <p className="damage page-sheet">{failure}</p>
  if (!results) return <p className="page-sheet quiet">Working out the results …</p>
  if (results.length === 0) return <NoResults />
  const open = results.find((result) => rowKey(result) === chosen) ?? results[0]!
  return (
    <div className="results-page" aria-busy={working}>
      {failure !== null && <p className="damage">{failure}</p>}
      <ResultsTable results={results} open={rowKey(open)} onOpen={setChosen} />
      <LaneSheet key={rowKey(open)} result={open} />
    </div>
  )
}
