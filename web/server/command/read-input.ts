import { readFileSync, statSync } from 'node:fs'
import { readRecord, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { reasonOf } from './reason.ts'

/** Longest record file that is read [bytes], as in the page. */
const largest_bytes = 400 * 1024 * 1024

export type Input =
  | { readonly kind: 'record'; readonly record: SlowlaneRecord; readonly note: string | null }
  | { readonly kind: 'unreadable'; readonly why: string }

/** Reads a record from a file, or from standard input for “-”. */
export function readInput(path: string): Input {
  const name = path === '-' ? 'standard input' : `“${path}”`
  let text: string
  try {
    if (path !== '-') {
      const about = statSync(path)
      if (about.isDirectory())
        return {
          kind: 'unreadable',
          why: `${name} is a folder. Name the record’s file in it, it ends in .slowlane.json.`,
        }
      if (about.size > largest_bytes)
        return {
          kind: 'unreadable',
          why: `${name} has ${Math.round(about.size / 1e6)} MB; a record is read up to ${Math.round(largest_bytes / 1e6)} MB. Name a record, not footage.`,
        }
    }
    text = readFileSync(path === '-' ? 0 : path, 'utf8')
  } catch (cause) {
    return { kind: 'unreadable', why: `${name} could not be read (${reasonOf(cause)}). Check the name and the rights.` }
  }
  // A byte order mark that an editor left is no part of the JSON.
  const outcome = readRecord(text.replace(/^\uFEFF/, ''))
  switch (outcome.kind) {
    case 'ok':
      return {
        kind: 'record',
        record: outcome.record,
        note:
          outcome.migratedFrom === null
            ? null
            : `${name} was written by an older version (format ${outcome.migratedFrom}) and was brought up to date for this. The file is untouched.`,
      }
    case 'not-json':
      return {
        kind: 'unreadable',
        why: `${name} is not a record: it is no JSON (${outcome.cause}). Name a file that Slowlane saved, it ends in .slowlane.json.`,
      }
    case 'not-a-record':
      return { kind: 'unreadable', why: `${name} is JSON, but not a Slowlane record: it names no record format.` }
    case 'too-new':
      return {
        kind: 'unreadable',
        why: `${name} was written by a newer version: its format is ${outcome.have}, this version reads up to ${outcome.can}. Use a newer Slowlane.`,
      }
    case 'broken':
      return {
        kind: 'unreadable',
        why: `${name} is damaged at ${outcome.where}: ${outcome.what}. Try an earlier copy of it.`,
      }
  }
}
