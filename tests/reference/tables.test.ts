/**
 * Tables held against readers and schemas that are not ours: Papa Parse reads the CSV, Ajv holds the description against the Tabular Data Package
 * profile of Frictionless Data (source beside the file) and the record against its own published JSON Schema.
 */
import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'
import { Ajv2020 } from 'ajv/dist/2020.js'
import ajvFormats from 'ajv-formats'
import { strFromU8, unzipSync } from 'fflate'
import Papa from 'papaparse'
import { describe, expect, test } from 'vitest'
import { plainText, resultsBundle, tablesOf, zipOf, type BundleFile } from '../../workers/handover/index.ts'
import { recordJsonSchema } from '../../workers/record/json-schema.ts'
import { publishedSchema } from '../../workers/record/published.ts'
import { demo } from '../support/demo-record.ts'
import { repository } from '../support/repository.ts'

const addFormats = ajvFormats.default
const createdAt = '2026-01-02T03:04:05Z'
let held: readonly BundleFile[] | undefined
const bundle = (): readonly BundleFile[] => {
  const { record, results } = demo()
  return (held ??= resultsBundle(record, { createdAt, version: '0.1.0', results }))
}

const fileOf = (path: string): string => strFromU8(bundle().find((file) => file.path === path)!.bytes)

interface Descriptor {
  readonly resources: readonly {
    readonly name: string
    readonly path: string
    readonly bytes: number
    readonly schema: {
      readonly fields: readonly {
        readonly name: string
        readonly type: string
        readonly unit?: string
        readonly constraints?: { readonly required?: boolean; readonly enum?: readonly string[] }
      }[]
      readonly primaryKey: readonly string[]
      readonly foreignKeys?: readonly {
        readonly fields: readonly string[]
        readonly reference: { readonly resource: string; readonly fields: readonly string[] }
      }[]
    }
  }[]
}
const descriptor = (): Descriptor => JSON.parse(fileOf('datapackage.json')) as Descriptor

function readTable(path: string): Record<string, string>[] {
  const parsed = Papa.parse<Record<string, string>>(fileOf(path), {
    delimiter: ',',
    header: true,
    skipEmptyLines: 'greedy',
  })
  expect(parsed.errors).toEqual([])
  return parsed.data
}

describe('tables of the demo, read by others', () => {
  test('Papa Parse reads every cell back as it was written, numbers to the last bit', () => {
    const { record, results } = demo()
    let cells = 0
    for (const table of tablesOf(record, results)) {
      const parsed = Papa.parse<string[]>(fileOf(`${table.name}.csv`), { delimiter: ',', skipEmptyLines: true })
      expect(parsed.errors).toEqual([])
      expect(parsed.data[0]).toEqual(table.fields.map(({ name }) => name))
      let at = 1
      const wrong: unknown[] = []
      for (const row of table.rows()) {
        const read = parsed.data[at++]!
        for (const [k, cell] of row.entries()) {
          const text = read[k]!
          const same =
            cell === null
              ? text === ''
              : typeof cell === 'number'
                ? Object.is(text === 'INF' ? Infinity : Number(text), cell)
                : typeof cell === 'boolean'
                  ? text === String(cell)
                  : plainText(text) === cell
          if (!same) wrong.push([table.name, at, table.fields[k]!.name, cell, text])
          cells++
        }
      }
      expect(wrong).toEqual([])
      expect(parsed.data.length).toBe(at)
    }
    expect(cells).toBeGreaterThan(250_000)
  })

  test('the description is a Tabular Data Package by the published profile', () => {
    const profile = JSON.parse(
      readFileSync(`${repository}tests/reference/data/frictionless/tabular-data-package.json`, 'utf8'),
    ) as Record<string, unknown>
    // Ajv 8 reads draft 6 on; the profile uses nothing of draft 4 that changed but the name of the draft.
    const { $schema, ...schema } = profile
    expect($schema).toBe('http://json-schema.org/draft-04/schema#')
    const ajv = addFormats(new Ajv({ strict: false, allErrors: true, formats: { textarea: true } }))
    const valid = ajv.compile(schema)
    valid(descriptor())
    expect(valid.errors ?? []).toEqual([])
    // The check can fail: without types or names it does.
    expect(valid({ ...descriptor(), resources: [{ path: 'x.csv', profile: 'tabular-data-resource' }] })).toBe(false)
    expect(valid({ ...descriptor(), created: 'yesterday' })).toBe(false)
  })

  test('every row keeps what the description says: types, required cells, lists, keys', () => {
    const { resources } = descriptor()
    const tables = new Map(resources.map(({ name, path }) => [name, readTable(path)]))
    const wrong: string[] = []
    for (const { name, path, bytes, schema } of resources) {
      expect(bytes).toBe(bundle().find((file) => file.path === path)!.bytes.length)
      const rows = tables.get(name)!
      for (const { name: column, type, constraints } of schema.fields)
        for (const [i, row] of rows.entries()) {
          const text = row[column]
          const fits =
            text === undefined
              ? false
              : text === ''
                ? constraints?.required !== true
                : typeFits(type, text) && (constraints?.enum?.includes(text) ?? true)
          if (!fits) wrong.push(`${name} ${i + 1} ${column} ${type}: ${text}`)
        }
      const key = (columns: readonly string[], row: Record<string, string>) =>
        JSON.stringify(columns.map((column) => row[column]))
      expect(new Set(rows.map((row) => key(schema.primaryKey, row))).size).toBe(rows.length)
      for (const { fields, reference } of schema.foreignKeys ?? []) {
        const held = new Set(tables.get(reference.resource)!.map((row) => key(reference.fields, row)))
        for (const row of rows) if (!held.has(key(fields, row))) wrong.push(`${name} → ${reference.resource}`)
      }
    }
    expect(wrong).toEqual([])
  })

  test('every number says its unit, in units that UCUM knows', () => {
    // The Unified Code for Units of Measure, version 2.1: terminals m, s, rad, operators / and exponents, annotations in braces; from memory.
    const ucum = /^(1|\/?(m|s|rad|kg|Hz|\{[a-z]+\})\d?(\/(m|s|rad|kg|\{[a-z]+\})\d?)*)$/
    for (const { schema } of descriptor().resources)
      for (const field of schema.fields) if (field.type === 'number') expect(field.unit, field.name).toMatch(ucum)
  })

  test('the zip holds the same bytes under the same names', () => {
    const files = unzipSync(zipOf(bundle(), createdAt))
    expect(Object.keys(files)).toEqual(bundle().map(({ path }) => path))
    for (const { path, bytes } of bundle()) expect(Buffer.compare(files[path]!, bytes), path).toBe(0)
  })
})

describe('the published JSON Schema of the record', () => {
  test('is what the schema that reads records gives', () => {
    expect(publishedSchema).toEqual(recordJsonSchema())
    expect(JSON.parse(fileOf('record-v1.schema.json'))).toEqual(recordJsonSchema())
  })

  test('holds the demo record, and refuses it once anything is wrong', () => {
    const valid = new Ajv2020({ strict: true, allErrors: true, strictTypes: false }).compile(publishedSchema)
    const record = () => JSON.parse(fileOf('record.slowlane.json')) as Record<string, unknown>
    valid(record())
    expect(valid.errors ?? []).toEqual([])
    expect(valid({ ...record(), schema: 2 })).toBe(false)
    expect(valid({ ...record(), extra: 1 })).toBe(false)
    expect(valid({ ...record(), title: undefined })).toBe(false)
    expect(
      valid({ ...record(), sources: { g: { id: 'g', name: '', unit: 'kN', distribution: { kind: 'normal', u: 1 } } } }),
    ).toBe(false)
  })
})

function typeFits(type: string, text: string): boolean {
  switch (type) {
    case 'integer':
      return /^-?\d+$/.test(text)
    case 'number':
      return /^-?(\d+(\.\d+)?(e[+-]\d+)?|INF)$/.test(text)
    case 'boolean':
      return text === 'true' || text === 'false'
    default:
      return true
  }
}
