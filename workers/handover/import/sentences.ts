import { assertNever } from '../../record/index.ts'
import type { PositionsProblem } from './as-positions.ts'
import type { ImportProblem, RejectedRow } from './imported-runs.ts'
import type { ClipImportProblem } from './into-clip.ts'
import type { Sheet, SheetProblem } from './sheet.ts'

/** Why a file is no table that can be imported, and what to do. */
export function sheetSentence(problem: SheetProblem): string {
  switch (problem.kind) {
    case 'too-large':
      return `The file has ${megabytes(problem.bytes)}; a table is read up to ${megabytes(problem.most)}. Split it.`
    case 'too-many-rows':
      return `The file has ${problem.rows} rows; ${problem.most} are read at most. Split it.`
    case 'too-many-columns':
      return `Line ${problem.line} has more than ${problem.most} columns. Is it a table with one row for each position?`
    case 'no-text':
      return 'The file holds no text. Save the table as CSV and choose that file.'
    case 'nothing-in-it':
      return 'The file holds no rows. Choose a table with one row for each position.'
    case 'one-column':
      return 'The file has one column only; a time and a position need two. Part the columns by commas, semicolons or tabs.'
    case 'open-quote':
      return `The quotation mark that begins in line ${problem.line} is never closed. Close it or take it out.`
    case 'after-quote':
      return `In line ${problem.line} something stands behind a closing quotation mark. Write a quotation mark inside quoted text twice.`
    default:
      return assertNever(problem)
  }
}

/** Why columns or rows give no run, and what to do. */
export function importSentence(sheet: Sheet, problem: ImportProblem | ClipImportProblem | PositionsProblem): string {
  switch (problem.kind) {
    case 'column-missing':
      return `Column ${problem.column + 1} was chosen, but the table has ${problem.columns}. Choose another.`
    case 'column-twice':
      return `Two things have been given to ${columnName(sheet, problem.column)}. Choose another column for one of them.`
    case 'too-many-runs':
      return `The column of runs names more than ${problem.most} runs. Is it the right column?`
    case 'no-usable-row':
    case 'no-row-in-clip': {
      const [first] = problem.rejected
      return first
        ? `No row can be used. The first: ${rejectedSentence(sheet, first)}`
        : 'The table has no rows below its head. Choose a table with one row for each position.'
    }
    case 'not-in-picture':
      return 'These are positions along a lane, not places in a picture. Import them as positions, or choose the columns of x and y.'
    case 'not-along-a-lane':
      return 'These are places in a picture. Choose the clip that they belong to, or the column of the position along the lane.'
    case 'clip-missing':
      return 'The clip that these marks belong to is not in the record. Add it first.'
    case 'rate-missing':
      return 'The table counts frames: say how many there are a second, for example 240.'
    case 'sigma-missing':
      return `A position’s standard uncertainty of ${problem.sigma_m} m says nothing. Enter one above 0, for example 0.5 mm.`
    case 'known-not-positive':
      return `A half width of ${problem.relative} says nothing. Enter one above 0, or take the scale as exact.`
    default:
      return assertNever(problem)
  }
}

/** Why a row was left out: “Line 12, column x: …”. */
export function rejectedSentence(sheet: Sheet, { line, column, why }: RejectedRow): string {
  const at = `Line ${line}${column === null ? '' : `, ${columnName(sheet, column)}`}: `
  switch (why.kind) {
    case 'empty':
      return `${at}nothing stands there.`
    case 'no-number':
      return `${at}“${short(why.text)}” is no number.`
    case 'two-readings':
      return `${at}“${short(why.text)}” may be with decimals or in thousands. Write it without the sign that parts thousands.`
    case 'other-decimal':
      return `${at}“${short(why.text)}” has another decimal sign than the rest of the table, which has a ${why.decimal === '.' ? 'point' : 'comma'}.`
    case 'no-cell':
      return `${at}the row has ${why.have} ${why.have === 1 ? 'cell' : 'cells'} only.`
    case 'no-frame':
      return `${at}${why.value} is no number of a frame; frames are counted in whole numbers from 0.`
    case 'beyond-reason':
      return `${at}${why.value} is beyond anything on a lane. Check the column and its unit.`
    case 'sigma-not-positive':
      return `${at}an uncertainty of ${why.value} says nothing; it must be above 0.`
    case 'no-origin':
      return `${at}“${short(why.text)}” is no origin of a mark.`
    case 'no-doubt':
      return `${at}“${short(why.text)}” is no doubt that Slowlane knows.`
    case 'same-time':
      return `${at}the time or frame is that of line ${why.line}, which is kept.`
    case 'run-full':
      return `${at}its run has ${why.most} marks already, as many as a run holds.`
    case 'not-in-clip':
      return `${at}frame ${why.frame} is not in the clip, whose frames go from 0 to ${why.frames - 1}.`
    case 'between-frames':
      return `${at}${why.time_s} s lies between frames ${why.frame} and ${why.frame + 1} of the clip. Check whether times count from its first frame.`
    default:
      return assertNever(why)
  }
}

/** A column as the person knows it: by its name, else by its number from 1. */
export function columnName(sheet: Sheet, column: number): string {
  const name = sheet.header?.[column]
  return name ? `column ${short(name)}` : `column ${column + 1}`
}

const short = (text: string): string => (text.length > 40 ? `${text.slice(0, 40)}…` : text)
const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`
