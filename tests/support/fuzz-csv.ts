import { strToU8 } from 'fflate'
import { seededRandom } from '../../workers/fit/numerics/random.ts'
import {
  addImport,
  importAsPositions,
  importIntoClip,
  importSentence,
  importedRuns,
  proposeColumns,
  readSheet,
  rejectedSentence,
  sheetSentence,
  type ColumnChoice,
  type RunTarget,
} from '../../workers/handover/index.ts'
import { parseRecord, type SlowlaneRecord } from '../../workers/record/index.ts'
import { RecordBuilder } from './record-builder.ts'

/** Whose runs imported marks become: of the record builder's lane A. */
export const target = (): RunTarget => ({
  laneId: 'A',
  mountingId: 'on-A',
  finishId: 'cut',
  ballId: 'ball-A',
  direction: 'down',
})

/** How many mutated tables gave runs, and how many were refused with a sentence. */
export interface FuzzCount {
  readonly valid: number
  readonly refused: number
}

const seeds = [
  'frame,x,y,sigma\n0,100.5,200.25,0.3\n4,110.5,200.5,0.3\n8,121,200.75,0.3\n12,132.5,201,0.3\n16,145,201,0.3\n',
  'Zeit [s];s [mm];Lauf\r\n0,00;0,0;a\r\n0,01;3,2;a\r\n0,02;6,5;a\r\n0,03;9,9;a\r\n0,00;0,1;b\r\n0,01;3,3;b\r\n',
  '# t_s\ts_m\n\n0\t0\n0.5\t1e-1\n1.0\t0.21\n1.5\t0.33\n',
  '"t","s","run"\n"s","mm",""\n0,0,"one, two"\n1,10,"one, two"\n2,21,"one ""two"""\n3,32,\n',
  'run_id,mark,frame,ticks,x_px,y_px,sigma_px,origin,doubt\nr1,0,0,0,10.125,20,0.1,found,sure\nr1,1,1,512,12.25,20,0.1,hand,blurred\n',
]
const bits = [
  '"',
  ',',
  ';',
  '\t',
  '\n',
  '\r',
  '|',
  '-',
  '.',
  '#',
  '\0',
  '\uFEFF',
  'e9',
  '1e999',
  '=',
  'é',
  '9'.repeat(30),
  'NaN',
]

/**
 * Mutates tables `count` times from a seed and takes each through reading, choosing and importing. Throws with the table where anything throws, a row
 * vanishes without a reason, a refusal has no sentence, or a record comes out that cannot be read.
 */
export function fuzzCsv(count: number, seed: number): FuzzCount {
  const random = seededRandom(seed)
  const below = (n: number) => Math.min(n - 1, Math.floor(random.uniform() * n))
  const record = fuzzRecord()
  let [valid, refused] = [0, 0]
  for (let i = 0; i < count; i++) {
    const bytes = mutated(below)
    try {
      if (importOne(bytes, record, below)) valid++
      else refused++
    } catch (cause) {
      throw new Error(`table ${i} of seed ${seed}: ${JSON.stringify(Buffer.from(bytes).toString('latin1'))}`, { cause })
    }
  }
  return { valid, refused }
}

function fuzzRecord(): SlowlaneRecord {
  return new RecordBuilder().lane('A').record
}

function mutated(below: (n: number) => number): Uint8Array {
  let text = seeds[below(seeds.length)]!
  for (let times = 1 + below(6); times > 0; times--) {
    const [at, to] = [below(text.length + 1), below(text.length + 1)].sort((a, b) => a - b) as [number, number]
    switch (below(6)) {
      case 0:
        text = text.slice(0, at) + bits[below(bits.length)]! + text.slice(at)
        break
      case 1:
        text = text.slice(0, at) + text.slice(Math.min(to, at + 5))
        break
      case 2:
        text = text.slice(0, at) + text.slice(at, to).repeat(2) + text.slice(to)
        break
      case 3: {
        const lines = text.split('\n')
        const [a, b] = [below(lines.length), below(lines.length)]
        ;[lines[a], lines[b]] = [lines[b]!, lines[a]!]
        text = lines.join('\n')
        break
      }
      case 4:
        text = text.replaceAll(bits[1 + below(4)]!, bits[1 + below(4)]!)
        break
      default:
        text = text.slice(0, at) + String.fromCharCode(below(256)) + text.slice(at + 1)
    }
  }
  const bytes = strToU8(text)
  // Now and then the file is cut or broken below the level of characters.
  if (below(4) === 0 && bytes.length > 0) bytes[below(bytes.length)] = below(256)
  return below(8) === 0 ? bytes.subarray(0, below(bytes.length + 1)) : bytes
}

function importOne(bytes: Uint8Array, record: SlowlaneRecord, below: (n: number) => number): boolean {
  const sheet = readSheet(bytes)
  if (sheet.kind !== 'sheet') return refusal(sheetSentence(sheet))
  const proposal = proposeColumns(sheet)
  const any = () => below(sheet.columns + 1)
  const choice: ColumnChoice = {
    ...proposal,
    when:
      proposal.when ?? (below(2) === 0 ? { kind: 'frame', column: any() } : { kind: 'time', column: any(), unit: 's' }),
    where:
      proposal.where ??
      (below(2) === 0 ? { kind: 'picture', x: any(), y: any() } : { kind: 'along', s: any(), unit: 'mm' }),
  }
  const imported = importedRuns(sheet, choice)
  if (imported.kind !== 'imported') return refusal(importSentence(sheet, imported))
  const marks = imported.runs.reduce((sum, { line }) => sum + line.length, 0)
  if (marks + imported.rejected.length !== sheet.rows.length) throw new Error('a row vanished')
  for (const row of imported.rejected) refusal(rejectedSentence(sheet, row))
  let made = 0
  const newId = (what: string) => `${what}-${made++}`
  const outcome =
    imported.where === 'picture'
      ? importIntoClip(record, imported, { clipId: 'clip', firstFrame: 0, file: 'x.csv', of: target }, newId)
      : importAsPositions(
          record,
          imported,
          {
            file: 'x.csv',
            size: bytes.length,
            of: target,
            rate_hz: 240,
            sigma_m: 5e-4,
            lengths: { kind: 'unknown' },
            times: { kind: 'exact' },
          },
          newId,
        )
  if (outcome.kind !== 'import') return refusal(importSentence(sheet, outcome))
  const kept = outcome.runs.reduce((sum, run) => sum + run.marks.frame.length, 0)
  if (kept + outcome.rejected.length !== sheet.rows.length) throw new Error('a row vanished on its way into the record')
  for (const row of outcome.rejected) refusal(rejectedSentence(sheet, row))
  const draft = {
    ...record,
    sources: { ...record.sources },
    views: { ...record.views },
    clips: { ...record.clips },
    runs: {},
  }
  addImport(draft, outcome)
  const read = parseRecord(draft)
  if (read.kind !== 'ok') throw new Error(`the record cannot be read: ${JSON.stringify(read)}`)
  return true
}

function refusal(sentence: string): false {
  if (!/^[A-Z“].{10,}\.$/s.test(sentence) || /undefined|NaN m|\[object/.test(sentence))
    throw new Error(`no sentence: ${sentence}`)
  return false
}
