import type { LaneResult } from '../../../workers/fit/results.ts'
import {
  csvBytes,
  recordPath,
  resultsBundle,
  resultsJson,
  resultsPath,
  schemaPath,
  type tablesOf,
  zipOf,
} from '../../../workers/handover/index.ts'
import { publishedSchema } from '../../../workers/record/published.ts'
import { stableJson, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { download, fileNameOf } from '../../record/record-file.ts'

export type TableList = ReturnType<typeof tablesOf>

const made = () => ({ createdAt: new Date().toISOString(), version: __VERSION__ })

function hand(bytes: Uint8Array | string, name: string, type: string): void {
  download(new Blob([typeof bytes === 'string' ? bytes : new Uint8Array(bytes)], { type }), name)
}

/** Every table with its description, results, record and schema in one file; the same files as the command writes. */
export function saveZip(record: SlowlaneRecord, results: readonly LaneResult[]): void {
  const options = made()
  const files = resultsBundle(record, { ...options, results })
  hand(zipOf(files, options.createdAt), fileNameOf(record.title, '.zip'), 'application/zip')
}

export function saveTable(table: TableList[number]): void {
  hand(csvBytes(table), `${table.name}.csv`, 'text/csv')
}

export function saveResults(record: SlowlaneRecord, results: readonly LaneResult[]): void {
  hand(resultsJson(record, results, made()), resultsPath, 'application/json')
}

export const saveRecordJson = (record: SlowlaneRecord): void => hand(stableJson(record), recordPath, 'application/json')

export const saveSchema = (): void => hand(stableJson(publishedSchema), schemaPath, 'application/schema+json')
