import { useMemo } from 'react'
import type { LaneResult } from '../../../workers/fit/results.ts'
import { tablesOf } from '../../../workers/handover/index.ts'
import { useRecord } from '../../record/store.ts'
import { saveRecordJson, saveResults, saveSchema, saveTable, saveZip } from './table-files.ts'

/** Everything as files: one zip, or each table, the results, the record and its schema by itself. */
export function Files({ results, working }: { readonly results: readonly LaneResult[]; readonly working: boolean }) {
  const record = useRecord((r) => r)
  const tables = useMemo(() => tablesOf(record, results), [record, results])
  return (
    <section className="lane-sheet handover-files" aria-label="Tables and report">
      <h2>Report</h2>
      <p>
        What was filmed and how, results with their uncertainty, plots, comparisons, margins and method, on A4 or
        Letter; the browser’s print makes a PDF of it.
      </p>
      <p>
        <a className="button main" href="#/handover/report">
          Open the report
        </a>
      </p>
      <h2>Tables</h2>
      <p>
        CSV with a decimal point, described by a <i>datapackage.json</i> (types, keys, units); the results and the
        record as JSON, and the record’s JSON Schema.
      </p>
      <p>
        <button type="button" className="button" disabled={working} onClick={() => saveZip(record, results)}>
          Save all in one zip
        </button>
      </p>
      <ul className="file-list">
        {tables.map((table) => (
          <li key={table.name}>
            <button
              type="button"
              className="link"
              title={table.description}
              disabled={working}
              onClick={() => saveTable(table)}
            >
              {table.name}.csv
            </button>
          </li>
        ))}
        <li>
          <button type="button" className="link" disabled={working} onClick={() => saveResults(record, results)}>
            results.json
          </button>
        </li>
        <li>
          <button type="button" className="link" onClick={() => saveRecordJson(record)}>
            record.slowlane.json
          </button>
        </li>
        <li>
          <button type="button" className="link" onClick={saveSchema}>
            JSON Schema
          </button>
        </li>
      </ul>
      <p className="quiet">
        Plots are saved as SVG or PNG from <i>Table</i> below each. The same files by command:{' '}
        <code>npx --no slowlane results record.slowlane.json --zip all.zip</code>
      </p>
    </section>
  )
}
