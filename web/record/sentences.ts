import { assertNever } from '../../workers/record/index.ts'
import type { OpenOutcome } from './open-record.ts'
import { largestFile_bytes, type FileOutcome, type SaveOutcome } from './record-file.ts'
import type { StorageFault } from './saved.ts'

/** What opening came to, in words; undefined when there is nothing to say. `name` is the file or the title. */
export function openSentence(outcome: FileOutcome | OpenOutcome, name: string): string | undefined {
  switch (outcome.kind) {
    case 'open':
      if (outcome.lost > 0)
        return `${changes(outcome.lost)} of “${name}” could not be read back and ${outcome.lost === 1 ? 'is' : 'are'} missing. Everything before is here; look it through, then save it to a file.`
      if (outcome.migratedFrom !== null)
        return `“${name}” was written by an older version (format ${outcome.migratedFrom}) and has been brought up to date. The file itself is untouched until you save.`
      return undefined
    case 'not-json':
      return `“${name}” is not a record: it is no JSON (${outcome.cause}). Choose a file that Slowlane saved, its name ends in .slowlane.json. The open record is as it was.`
    case 'not-a-record':
      return `“${name}” is JSON, but not a Slowlane record: it names no record format. Choose a file that Slowlane saved. The open record is as it was.`
    case 'too-new':
      return `“${name}” was written by a newer version: its format is ${outcome.have}, this version reads up to ${outcome.can}. Nothing was changed; open it with a newer Slowlane.`
    case 'broken':
      return `“${name}” is damaged at ${outcome.where}: ${outcome.what}. Nothing was opened and the open record is as it was. Try an earlier copy of the file, or the list of kept records.`
    case 'too-large':
      return `“${name}” has ${megabytes(outcome.size)}; a record is read up to ${megabytes(largestFile_bytes)}. Choose a record file, not footage.`
    case 'unreadable':
      return `“${name}” could not be read (${reason(outcome.cause)}). If it lies on a removable disk or a network drive, connect that and try again.`
    case 'not-kept':
      return `This browser keeps no record of that name any more. Open its file instead.`
    case 'storage':
      return `The browser refused its storage (${reason(outcome.cause)}), so kept records cannot be read now. Files can be opened and saved as ever.`
    default:
      return assertNever(outcome)
  }
}

export function saveSentence(outcome: SaveOutcome): string | undefined {
  switch (outcome.kind) {
    case 'saved':
      return `Saved to ${outcome.name}.`
    case 'downloaded':
      return `Saved as ${outcome.name} among your downloads.`
    case 'cancelled':
      return undefined
    case 'failed':
      return `${outcome.name} was not written (${reason(outcome.cause)}). The record is unharmed here. Choose another place with “Save as”.`
  }
}

/** The banner while the browser does not keep changes. */
export function faultSentence(why: StorageFault, waiting: number): string {
  const since = `Since then ${changes(waiting)} ${waiting === 1 ? 'lives' : 'live'} in this tab only.`
  switch (why) {
    case 'full':
      return `This browser's storage is full, so it keeps no further changes. ${since} Save the record to a file; freeing space on the disk also helps.`
    case 'aborted':
      return `The browser broke off keeping the last change. ${since} It is tried again by itself; save the record to a file to be safe.`
    case 'refused':
      return `This browser refuses to keep data for this page (a private window, or storage is blocked). ${since} Save the record to a file before you close the tab.`
    case 'silent':
      return `The browser's storage does not answer. ${since} Save the record to a file; if another tab of this page hangs, close that.`
    case 'overtaken':
      return `Another tab changed this record too, and the two no longer fit together; the browser keeps what the other tab did. ${since} Save the record here to a file, then close one of the tabs.`
  }
}

export const otherTabSentence =
  'This record is open in another tab, so it can be looked at but not changed here. Close the other tab and this one takes over by itself.'
export const tookOverSentence = 'The other tab let go of this record. Its last state is shown, and you can go on here.'
export const notTakenOverSentence = (cause: unknown): string =>
  `The other tab let go of this record, but its last state could not be read (${reason(cause)}). Reload the page to go on.`
/** Once, when a first record of one's own is begun and the browser gives no promise. */
export const mayBeClearedSentence =
  'This browser keeps your record by itself, but may clear it when the disk runs short of space. Save to a file now and then; “Kept records” in the menu says more.'
export const wouldLoseSentence =
  'The browser has not kept the last changes of the open record. Save it to a file first, or they are lost.'

const changes = (n: number): string => (n === 1 ? 'the last change' : `the last ${n} changes`)
const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`

/** The words of an exception, for the end of a sentence of ours. */
export const reason = (cause: unknown): string =>
  cause instanceof Error ? cause.message.replace(/\.$/, '') : String(cause)
