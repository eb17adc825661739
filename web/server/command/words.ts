import { parseArgs } from 'node:util'

/** What the command was asked for. */
export interface Asked {
  readonly record: string
  readonly csv: string | null
  readonly json: string | null
  readonly zip: string | null
  readonly mjcf: string | null
  readonly lane: string | null
  readonly finish: string | null
  /** ISO 8601; null: now. */
  readonly at: string | null
}

export type Words =
  | { readonly kind: 'help' }
  | { readonly kind: 'version' }
  | { readonly kind: 'schema' }
  | ({ readonly kind: 'results' } & Asked)
  | { readonly kind: 'misused'; readonly why: string }

const options = {
  csv: { type: 'string' },
  json: { type: 'string' },
  zip: { type: 'string' },
  mjcf: { type: 'string' },
  lane: { type: 'string' },
  finish: { type: 'string' },
  at: { type: 'string' },
  help: { type: 'boolean', short: 'h' },
  version: { type: 'boolean', short: 'v' },
} as const

/** Reads the words behind the command's name. */
export function readWords(words: readonly string[]): Words {
  let parsed
  try {
    parsed = parseArgs({ args: [...words], options, allowPositionals: true, strict: true })
  } catch (cause) {
    return { kind: 'misused', why: whyNot(cause, words) }
  }
  const { values, positionals } = parsed
  if (values.help) return { kind: 'help' }
  if (values.version) return { kind: 'version' }
  const [command, record, ...more] = positionals
  if (command === undefined) return { kind: 'misused', why: 'Say what to do: “slowlane results RECORD.json”.' }
  if (command === 'schema' && record === undefined) return { kind: 'schema' }
  if (command !== 'results')
    return {
      kind: 'misused',
      why: `“${positionals.join(' ')}” is no command. There are “results RECORD.json” and “schema”.`,
    }
  if (record === undefined) return { kind: 'misused', why: 'Name the record: “slowlane results RECORD.json”.' }
  if (more.length > 0)
    return {
      kind: 'misused',
      why: `One record at a time: “${more.join(' ')}” is too much. Quote names that hold blanks.`,
    }
  for (const [name, value] of Object.entries(values))
    if (value === '') return { kind: 'misused', why: `--${name} needs a value behind it.` }
  const { at = null } = values
  if (at !== null && !isInstant(at))
    return { kind: 'misused', why: `--at “${at}” is no time. Write it like 2026-01-31T12:00:00Z.` }
  const { csv = null, json = null, zip = null, mjcf = null, lane = null, finish = null } = values
  return { kind: 'results', record, csv, json, zip, mjcf, lane, finish, at }
}

/** A date and time with its zone, as a data package wants it. */
const isInstant = (text: string): boolean =>
  /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})$/.test(text) && !Number.isNaN(Date.parse(text))

function whyNot(cause: unknown, words: readonly string[]): string {
  const code = cause instanceof Error && 'code' in cause ? cause.code : undefined
  const named = cause instanceof Error ? (/--[\w-]+/.exec(cause.message) ?? /-\w/.exec(cause.message))?.[0] : undefined
  if (code === 'ERR_PARSE_ARGS_UNKNOWN_OPTION')
    return `There is no option ${named ?? words.join(' ')}. “slowlane --help” lists them all.`
  if (code === 'ERR_PARSE_ARGS_INVALID_OPTION_VALUE')
    return named === '--help' || named === '--version' || named === '-h' || named === '-v'
      ? `${named} takes no value.`
      : `${named ?? 'An option'} needs a value behind it. “slowlane --help” says which.`
  return `“${words.join(' ')}” cannot be read (${cause instanceof Error ? cause.message : String(cause)}).`
}
