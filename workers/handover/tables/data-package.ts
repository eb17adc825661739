import { schemaVersion, type SlowlaneRecord } from '../../record/index.ts'
import type { Field, Table } from './table.ts'

/** A file that goes with the tables. */
export interface PackagedFile {
  readonly path: string
  readonly title: string
  readonly mediatype: string
}

/** What a data package says beside its tables. `createdAt`: ISO 8601 with time zone, handed in; `version`: of the tool. */
export interface PackageFacts {
  readonly createdAt: string
  readonly version: string
  readonly others: readonly PackagedFile[]
  /** Length of each table's file [bytes], by its name. */
  readonly bytes: ReadonlyMap<string, number>
}

/**
 * Describes the tables so that any reader can load them typed: a Tabular Data Package. Units stand in each field's `unit` (UCUM), files that are
 * no tables under `accompanying`; both are additions that the specification leaves room for.
 * Source: Frictionless Data, Tabular Data Package and Table Schema specifications, version 1 (specs.frictionlessdata.io).
 */
export function dataPackage(record: SlowlaneRecord, tables: readonly Table[], facts: PackageFacts): object {
  return {
    profile: 'tabular-data-package',
    name: packageName(record.id),
    title: record.title === '' ? 'Slowlane record' : record.title,
    description: `Speed, acceleration and rolling resistance of balls on lanes, measured from slow-motion footage. Made by Slowlane ${facts.version} from a record of format ${schemaVersion}. Units are UCUM, in each field’s property unit; intervals hold ${record.settings.coverage * 100} %. Text that would begin like a formula has an apostrophe before it.`,
    created: facts.createdAt,
    sources: sourcesOf(record),
    resources: tables.map((table) => resourceOf(table, facts.bytes.get(table.name))),
    ...(facts.others.length === 0 ? {} : { accompanying: facts.others }),
  }
}

/** The clips that everything rests on, each with its hash where it is known. */
const sourcesOf = (record: SlowlaneRecord): object[] => {
  const clips = Object.values(record.clips).map((clip) => ({
    title: clip.sha256 === undefined ? clip.name : `${clip.name} (SHA-256 ${clip.sha256})`,
  }))
  return clips.length > 0 ? clips : [{ title: 'no clip' }]
}

const resourceOf = (table: Table, bytes: number | undefined): object => ({
  profile: 'tabular-data-resource',
  name: table.name,
  path: `${table.name}.csv`,
  title: table.title,
  description: table.description,
  format: 'csv',
  mediatype: 'text/csv',
  encoding: 'utf-8',
  ...(bytes === undefined ? {} : { bytes }),
  dialect: { delimiter: ',', doubleQuote: true, lineTerminator: '\r\n', quoteChar: '"', header: true },
  schema: {
    fields: table.fields.map(fieldOf),
    primaryKey: table.primaryKey,
    ...(table.foreignKeys.length === 0
      ? {}
      : {
          foreignKeys: table.foreignKeys.map(({ fields, table: resource, refersTo }) => ({
            fields,
            reference: { resource, fields: refersTo },
          })),
        }),
    missingValues: [''],
  },
})

const fieldOf = ({ name, type, title, unit, description, required, oneOf }: Field): object => ({
  name,
  type,
  title,
  ...(description === undefined ? {} : { description }),
  ...(unit === undefined ? {} : { unit }),
  ...(required || oneOf
    ? { constraints: { ...(required ? { required: true } : {}), ...(oneOf ? { enum: oneOf } : {}) } }
    : {}),
})

/** Lower case, digits, `.`, `_`, `-` only. */
const packageName = (id: string): string => `slowlane-${id.toLowerCase()}`
