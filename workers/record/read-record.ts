import { beyondBounds } from './json-bounds.ts'
import { migrate } from './migrations.ts'
import { schemaVersion, SlowlaneRecord } from './schema/record.ts'
import { danglingReference } from './references.ts'

export type ReadOutcome =
  | { kind: 'ok'; record: SlowlaneRecord; migratedFrom: number | null }
  | { kind: 'not-json'; cause: string }
  | { kind: 'not-a-record' }
  | { kind: 'too-new'; have: number; can: number }
  | { kind: 'broken'; where: string; what: string }

/** Reads a record from text of unknown origin. Nothing is trusted, nothing half-read is returned. */
export function readRecord(text: string): ReadOutcome {
  const beyond = beyondBounds(text)
  if (beyond !== undefined) return { kind: 'broken', where: 'the whole file', what: beyond }
  let data: unknown
  try {
    data = JSON.parse(text)
  } catch (cause) {
    return { kind: 'not-json', cause: cause instanceof Error ? cause.message : String(cause) }
  }
  return parseRecord(data)
}

/** As `readRecord`, for data that is already parsed (storage, messages). */
export function parseRecord(data: unknown): ReadOutcome {
  if (typeof data !== 'object' || data === null || Array.isArray(data) || !('schema' in data))
    return { kind: 'not-a-record' }
  const version = data.schema
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1) return { kind: 'not-a-record' }
  if (version > schemaVersion) return { kind: 'too-new', have: version, can: schemaVersion }
  const migrated = version < schemaVersion ? migrate(data, version) : data
  const parsed = SlowlaneRecord.safeParse(migrated)
  if (!parsed.success) {
    const issue = parsed.error.issues[0]
    return {
      kind: 'broken',
      where: issue?.path.map(String).join(' › ') || 'the top level',
      what: issue?.message ?? 'not as the schema says',
    }
  }
  const dangling = danglingReference(parsed.data)
  if (dangling)
    return { kind: 'broken', where: dangling.where, what: `names “${dangling.id}”, which the record does not hold` }
  return { kind: 'ok', record: parsed.data, migratedFrom: version < schemaVersion ? version : null }
}
