import { strToU8 } from 'fflate'
import { laneResults, type LaneResult } from '../../fit/index.ts'
import { publishedSchema } from '../../record/published.ts'
import { schemaVersion, stableJson, type SlowlaneRecord } from '../../record/index.ts'
import { budgetTable } from './budget-table.ts'
import { comparisonsTable } from './comparisons-table.ts'
import { csvBytes } from './csv.ts'
import { dataPackage, type PackagedFile } from './data-package.ts'
import { lanesTable, piecesTable, seriesTable, waysTable } from './lane-tables.ts'
import { marksTable, samplesTable } from './mark-tables.ts'
import { resultsData } from './results-json.ts'
import { runsTable } from './runs-table.ts'
import { tableSource } from './source.ts'
import type { Table } from './table.ts'

/** One file of a handover; `path` with `/` between folders, never leading out of it. */
export interface BundleFile {
  readonly path: string
  readonly bytes: Uint8Array
}

/** A file that others made (a plot, a simulator's model), to go into the bundle. */
export interface FurtherFile extends BundleFile {
  readonly title: string
  readonly mediatype: string
}

export interface BundleOptions {
  /** When it is made, ISO 8601 with time zone. */
  readonly createdAt: string
  /** Version of the tool. */
  readonly version: string
  /** Results, where the caller has them already; they must be those of the record. */
  readonly results?: readonly LaneResult[]
  /** Rows of these lanes only; all when absent. The record goes along whole. */
  readonly laneIds?: readonly string[]
  readonly further?: readonly FurtherFile[]
}

/** Every table of a record, in the order in which they are listed. */
export function tablesOf(
  record: SlowlaneRecord,
  results: readonly LaneResult[],
  laneIds: readonly string[] | null = null,
): readonly Table[] {
  const source = tableSource(record, results, laneIds === null ? null : new Set(laneIds))
  return [
    lanesTable(source),
    runsTable(source),
    seriesTable(source),
    waysTable(source),
    piecesTable(source),
    budgetTable(source),
    comparisonsTable(source),
    samplesTable(source),
    marksTable(source),
  ]
}

export const recordPath = 'record.slowlane.json'
export const schemaPath = `record-v${schemaVersion}.schema.json`
export const resultsPath = 'results.json'

/**
 * Everything a record gives, as files: tables as CSV with their `datapackage.json`, the results and the record as JSON, the record's JSON Schema, and
 * what is handed in. The same record and options give the same bytes, in the page and in the command.
 */
export function resultsBundle(record: SlowlaneRecord, options: BundleOptions): readonly BundleFile[] {
  const results = options.results ?? laneResults(record)
  const tables = tablesOf(record, results, options.laneIds ?? null)
  const files = tables.map((table) => ({ path: `${table.name}.csv`, bytes: csvBytes(table) }))
  const own: readonly FurtherFile[] = [
    json(resultsPath, 'Results with the effect of every source of uncertainty', resultsJson(record, results, options)),
    json(recordPath, 'The record: opens in Slowlane, and every result recomputes from it', stableJson(record)),
    {
      ...json(schemaPath, 'JSON Schema of the record', stableJson(publishedSchema)),
      mediatype: 'application/schema+json',
    },
  ]
  const others = [...own, ...(options.further ?? [])]
  const taken = new Set(['datapackage.json', ...files.map(({ path }) => path)])
  for (const { path } of others) {
    if (!isSafePath(path) || taken.has(path)) throw new Error(`a file of the bundle cannot be called “${path}”`)
    taken.add(path)
  }
  const description = dataPackage(record, tables, {
    createdAt: options.createdAt,
    version: options.version,
    others: others.map(({ path, title, mediatype }): PackagedFile => ({ path, title, mediatype })),
    bytes: new Map(tables.map(({ name }, i) => [name, files[i]!.bytes.length])),
  })
  return [
    { path: 'datapackage.json', bytes: strToU8(stableJson(description)) },
    ...files,
    ...others.map(({ path, bytes }) => ({ path, bytes })),
  ]
}

/** The results alone, as JSON text. */
export function resultsJson(
  record: SlowlaneRecord,
  results: readonly LaneResult[],
  { createdAt, version, laneIds }: Pick<BundleOptions, 'createdAt' | 'version' | 'laneIds'>,
): string {
  const asked = laneIds === undefined ? results : results.filter(({ laneId }) => laneIds.includes(laneId))
  return stableJson({
    record: { id: record.id, title: record.title },
    slowlane: version,
    created: createdAt,
    coverage: record.settings.coverage,
    results: resultsData(record, asked),
  })
}

const json = (path: string, title: string, content: string): FurtherFile => ({
  path,
  title,
  mediatype: 'application/json',
  bytes: strToU8(content),
})

const isSafePath = (path: string): boolean =>
  /^[^/\\:]+(\/[^/\\:]+)*$/.test(path) && path.split('/').every((part) => part !== '.' && part !== '..')
