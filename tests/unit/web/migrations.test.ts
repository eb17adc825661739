import { readFileSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { readRecord, schemaVersion, stableJson } from '../../../workers/record/index.ts'
import { openText } from '../../../web/record/open-record.ts'
import { recordStore, showRecord } from '../../../web/record/store.ts'
import { repository } from '../../support/repository.ts'
import { richRecord } from '../../support/rich-record.ts'

const folder = join(repository, 'tests/data/records')
const fixture = (version: number): string => readFileSync(join(folder, `version-${version}.slowlane.json`), 'utf8')
const versions = Array.from({ length: schemaVersion }, (_, i) => i + 1)

describe('files of every version there has been', () => {
  test('one of each is kept, and none of a version to come', () => {
    expect(
      readdirSync(folder)
        .filter((name) => name.endsWith('.json'))
        .sort(),
    ).toEqual(versions.map((version) => `version-${version}.slowlane.json`))
  })

  test.each(versions)('a file of version %i reads, and says from which version it came', (version) => {
    const read = readRecord(fixture(version))
    if (read.kind !== 'ok') throw new Error(JSON.stringify(read))
    expect(read.migratedFrom).toBe(version === schemaVersion ? null : version)
    expect(read.record.schema).toBe(schemaVersion)
    // What people measured is there whatever became of the format.
    expect(Object.values(read.record.runs).map((run) => run.marks.frame.length)).toEqual([16, 16])
    expect(read.record.runs['run2']?.direction).toBe('up')
    expect(read.record.runs['run1']?.marks.x[15]).toBe(JSON.parse(fixture(version)).runs.run1.marks.x[15])
    expect(read.record.views['view']?.planes['plane']).toMatchObject({ kind: 'rectangle', width_m: { value: 0.42 } })
    expect(read.record.settings.gravity.g_m_s2).toEqual({ value: 9.81, sources: ['rule'] })
    expect(read.record.sources['rule']?.distribution).toEqual({ kind: 'rectangular', half: 0.0003 })
  })

  test('a file of the present version is written again byte for byte', () => {
    const read = readRecord(fixture(schemaVersion))
    expect(read.kind === 'ok' && stableJson(read.record)).toBe(fixture(schemaVersion))
  })
})

test.each([schemaVersion + 1, schemaVersion + 40, 2 ** 40])(
  'a file of version %i is refused, whatever else is in it, and the open record stays the very same',
  async (version) => {
    showRecord(richRecord())
    const before = recordStore.getState()
    const text = stableJson({ ...richRecord(), schema: version, lanes: 'in another form' })
    expect(await openText(text)).toEqual({ kind: 'too-new', have: version, can: schemaVersion })
    expect(recordStore.getState()).toBe(before)
  },
)
