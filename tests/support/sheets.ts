import { strToU8 } from 'fflate'
import {
  importSentence,
  importedRuns,
  proposeColumns,
  readSheet,
  sheetSentence,
  type ColumnChoice,
  type ImportedRuns,
  type Sheet,
} from '../../workers/handover/index.ts'

/** A table that must read. */
export function sheetOf(text: string | Uint8Array): Sheet {
  const sheet = readSheet(typeof text === 'string' ? strToU8(text) : text)
  if (sheet.kind !== 'sheet') throw new Error(sheetSentence(sheet))
  return sheet
}

/** The columns that their names propose. */
export function choose(sheet: Sheet): ColumnChoice {
  const { when, where, ...rest } = proposeColumns(sheet)
  if (!when || !where) throw new Error('the names of the columns do not tell')
  return { ...rest, when, where }
}

/** The runs that a table holds, by the proposed columns unless others are chosen. */
export function runsOf(sheet: Sheet, choice = choose(sheet)): ImportedRuns {
  const imported = importedRuns(sheet, choice)
  if (imported.kind !== 'imported') throw new Error(importSentence(sheet, imported))
  return imported
}
