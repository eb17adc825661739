import type { LaneResult } from '../../../workers/fit/results.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { units, type DisplayUnit } from '../../format/units.ts'
import { showPlain, showValue } from '../../format/value.ts'
import { flagWord, loudFlags } from '../../stations/results/flag-words.ts'

/** A terminal and a script read the same digits: decimal point always. */
const manner = { decimal: '.' } as const

interface Head {
  readonly head: string
  readonly side: 'left' | 'right'
}

/** The page's results table as text: one row for each lane and finish, columns lined up. */
export function resultsText(record: SlowlaneRecord, results: readonly LaneResult[]): string {
  const coverage = `${showPlain(record.settings.coverage * 100, 4, manner)} %`
  const heads: readonly Head[] = [
    { head: 'lane', side: 'left' },
    { head: 'finish', side: 'left' },
    { head: 'runs', side: 'right' },
    { head: 'entry m/s', side: 'left' },
    { head: 'exit m/s', side: 'left' },
    { head: 'acceleration m/s²', side: 'left' },
    { head: `C_rr ${coverage}`, side: 'left' },
    { head: '', side: 'left' },
  ]
  return columns(
    heads,
    results.map((result) => rowOf(record, result)),
  )
}

function rowOf(record: SlowlaneRecord, result: LaneResult): readonly string[] {
  const main = result.main === null ? null : result.series[result.main]!
  return [
    record.lanes[result.laneId]?.key ?? '?',
    record.finishes[result.finishId]?.name ?? '',
    String(result.series.reduce((sum, { runs }) => sum + runs.length, 0)),
    shown(main?.entry?.filmed, units.m_s),
    shown(main?.exit?.filmed, units.m_s),
    shown(main?.acceleration, units.m_s2),
    shown(result.crr, units.one),
    [
      ...(result.problems.length > 0 ? [result.crr ? 'something left out' : 'no C_rr yet'] : []),
      ...loudFlags(result).map(flagWord),
    ].join(', '),
  ]
}

/** Value and ± in the column's unit, as the page writes them. */
function shown(of: { readonly value: number; readonly U: number } | null | undefined, unit: DisplayUnit): string {
  return of ? showValue(of.value / unit.si, of.U / unit.si, '', manner).text : '–'
}

function columns(heads: readonly Head[], rows: readonly (readonly string[])[]): string {
  const widths = heads.map(({ head }, k) => Math.max(...[head, ...rows.map((row) => row[k]!)].map(width)))
  const line = (cells: readonly string[]) =>
    cells
      .map((cell, k) => {
        const room = ' '.repeat(widths[k]! - width(cell))
        return heads[k]!.side === 'right' ? room + cell : cell + room
      })
      .join('  ')
      .trimEnd()
  return [heads.map(({ head }) => head), ...rows].map((cells) => line(cells) + '\n').join('')
}

/** Places on a terminal, one for each code point. */
const width = (text: string): number => [...text].length
