import {
  flagSentence,
  problemSentence,
  type LanePiece,
  type LaneResult,
  type SeriesResult,
  type Way,
} from '../../fit/index.ts'
import { finishName, laneKey, type LaneRow, type TableSource } from './source.ts'
import { measured, number, tableOf, text, truth, whole, type Column, type ForeignKey, type Table } from './table.ts'

const toLane: ForeignKey = { fields: ['lane_id', 'finish_id'], table: 'lanes', refersTo: ['lane_id', 'finish_id'] }

const main = ({ result }: LaneRow): SeriesResult | null =>
  result === null || result.main === null ? null : (result.series[result.main] ?? null)

/** The results table of the page: one row for each lane and finish. */
export function lanesTable({ record, lanes }: TableSource): Table {
  return tableOf<LaneRow>(
    {
      name: 'lanes',
      title: 'Lanes',
      description:
        'Result of each lane with each finish. crr is the equivalent rolling-resistance coefficient of the best way; speeds, acceleration, slope and guide are those of its main series (downhill, most runs).',
      primaryKey: ['lane_id', 'finish_id'],
      foreignKeys: [],
    },
    [
      text('lane_id', 'lane', (row) => row.laneId, { required: true }),
      text('finish_id', 'finish', (row) => row.finishId, { required: true }),
      text('lane', 'letter of the lane', (row) => laneKey(record, row.laneId)),
      text('lane_name', 'name of the lane', (row) => record.lanes[row.laneId]?.name ?? null),
      text('guide', 'cross-section that carries the ball', (row) => record.lanes[row.laneId]?.guide.kind ?? null),
      text('finish', 'name of the finish', (row) => finishName(record, row.finishId)),
      text('ball', 'ball of the main series', (row) => record.balls[main(row)?.ballId ?? '']?.name ?? null),
      whole('runs', 'runs with a result, all series', (row) =>
        (row.result?.series ?? []).reduce((sum, { runs }) => sum + runs.length, 0),
      ),
      text('direction', 'direction of the main series', (row) => main(row)?.direction ?? null),
      number(
        'stretch_from_m',
        'm',
        'start of the stretch that every run covers',
        (row) => row.result?.stretch?.from_m ?? null,
      ),
      number(
        'stretch_to_m',
        'm',
        'end of the stretch that every run covers',
        (row) => row.result?.stretch?.to_m ?? null,
      ),
      ...seriesColumns<LaneRow>(main),
      ...measured<LaneRow>('crr', '', '1', 'C_rr', (row) => row.result?.crr),
      text('crr_way', 'way to C_rr', (row) => row.result?.ways[0]?.kind ?? null),
      number('coverage', '1', 'share of coverage of every interval', () => record.settings.coverage),
      text('problems', 'what is missing', (row) =>
        sentences(row.result?.problems.map((problem) => problemSentence(record, problem))),
      ),
      text('remarks', 'what to know about the result', (row) =>
        sentences(row.result?.flags.map((flag) => flagSentence(record, flag))),
      ),
    ],
    () => lanes,
  )
}

const sentences = (all: readonly string[] | undefined): string | null =>
  all === undefined || all.length === 0 ? null : all.join(' ')

/** What a series of runs gave, in the columns that the tables of lanes and of series share. */
function seriesColumns<Row>(of: (row: Row) => SeriesResult | null): Column<Row>[] {
  return [
    number('entry_at_m', 'm', 'place of the entry along the lane', (row) => of(row)?.entry?.at_m ?? null),
    ...measured<Row>(
      'entry_speed',
      '_m_s',
      'm/s',
      'speed at the entry, of the runs filmed',
      (row) => of(row)?.entry?.filmed,
    ),
    number('exit_at_m', 'm', 'place of the exit along the lane', (row) => of(row)?.exit?.at_m ?? null),
    ...measured<Row>(
      'exit_speed',
      '_m_s',
      'm/s',
      'speed at the exit, of the runs filmed',
      (row) => of(row)?.exit?.filmed,
    ),
    ...measured<Row>(
      'exit_speed_typical',
      '_m_s',
      'm/s',
      'speed at the exit to expect on average',
      (row) => of(row)?.exit?.typical,
    ),
    number(
      'exit_speed_scatter_m_s',
      'm/s',
      'scatter of the exit speed between runs',
      (row) => of(row)?.exit?.scatter_m_s ?? null,
    ),
    ...measured<Row>('acceleration', '_m_s2', 'm/s2', 'acceleration along the travel', (row) => of(row)?.acceleration),
    ...measured<Row>('transit', '_s', 's', 'time from entry to exit', (row) => of(row)?.transit),
    ...measured<Row>('slope', '_rad', 'rad', 'slope, positive downhill along the lane', (row) => of(row)?.slope),
    ...measured<Row>('rolling_radius', '_m', 'm', 'rolling radius in the guide', (row) => of(row)?.rollingRadius),
    ...measured<Row>('inertia_factor', '', '1', 'effective mass over mass', (row) => of(row)?.inertiaFactor),
    text('model', 'how the motion is described', (row) => of(row)?.model.kind ?? null),
    number('speed_least_m_s', 'm/s', 'least speed covered', (row) => of(row)?.speedRange_m_s[0] ?? null),
    number('speed_greatest_m_s', 'm/s', 'greatest speed covered', (row) => of(row)?.speedRange_m_s[1] ?? null),
    number(
      'marks_scatter',
      '1',
      'scatter of marks about the fit over the stated one',
      (row) => of(row)?.marks.ratio ?? null,
    ),
    number('marks_correlation', '1', 'correlation of neighbouring marks', (row) => of(row)?.marks.correlation ?? null),
  ]
}

interface SeriesRow {
  readonly result: LaneResult
  readonly index: number
  readonly series: SeriesResult
}

/** Every series by itself: runs of one ball on one mounting in one direction. */
export function seriesTable({ record, results }: TableSource): Table {
  return tableOf<SeriesRow>(
    {
      name: 'series',
      title: 'Series',
      description: 'Runs of one ball on one fixing of a lane in one direction, fitted together.',
      primaryKey: ['lane_id', 'finish_id', 'series'],
      foreignKeys: [toLane],
    },
    [
      ...laneColumns<SeriesRow>(({ result }) => result),
      whole('series', 'number of the series, from 0', (row) => row.index, { required: true }),
      truth('main', 'the one that the row of the lane shows', (row) => row.index === row.result.main, {
        required: true,
      }),
      text(
        'mounting',
        'fixing of the lane',
        ({ series }) => record.mountings[series.mountingId]?.name ?? series.mountingId,
      ),
      text('ball', 'ball', ({ series }) => record.balls[series.ballId]?.name ?? series.ballId),
      text('direction', 'which way the ball goes', ({ series }) => series.direction),
      whole('runs', 'runs', ({ series }) => series.runs.length),
      ...seriesColumns<SeriesRow>(({ series }) => series),
      ...measured<SeriesRow>('crr', '', '1', 'C_rr of this series alone', ({ series }) => series.crr),
      ...measured<SeriesRow>(
        'speed_rate',
        '_per_s',
        '/s',
        'deceleration per speed, where it grows with speed',
        ({ series }) => series.model.speedPart?.rate,
      ),
      ...measured<SeriesRow>(
        'crr_at_entry',
        '',
        '1',
        'C_rr at the entry’s speed',
        ({ series }) => series.model.speedPart?.crrAtEntry,
      ),
      ...measured<SeriesRow>(
        'crr_at_exit',
        '',
        '1',
        'C_rr at the exit’s speed',
        ({ series }) => series.model.speedPart?.crrAtExit,
      ),
      number(
        'stalls_at_m',
        'm',
        'where the slowing ball would come to rest',
        ({ series }) => series.slows?.stallsAt_m ?? null,
      ),
    ],
    function* () {
      for (const result of results)
        for (const [index, series] of result.series.entries()) yield { result, index, series }
    },
  )
}

interface LaneId {
  readonly laneId: string
  readonly finishId: string
}

const laneColumns = <Row>(of: (row: Row) => LaneId): Column<Row>[] => [
  text('lane_id', 'lane', (row) => of(row).laneId, { required: true }),
  text('finish_id', 'finish', (row) => of(row).finishId, { required: true }),
]

interface WayRow {
  readonly result: LaneResult
  readonly index: number
  readonly way: Way
}

/** Every way to the resistance that the record allows, the surest first. */
export function waysTable({ record, results }: TableSource): Table {
  return tableOf<WayRow>(
    {
      name: 'ways',
      title: 'Ways to C_rr',
      description: 'Every way to C_rr that the record allows, the surest first; the lane’s result is the first.',
      primaryKey: ['lane_id', 'finish_id', 'rank'],
      foreignKeys: [toLane],
    },
    [
      ...laneColumns<WayRow>(({ result }) => result),
      whole('rank', 'place in the order of uncertainty, from 1', ({ index }) => index + 1, { required: true }),
      text('way', 'kind of way', ({ way }) => way.kind),
      text('mountings', 'fixings it rests on', ({ way }) =>
        way.mountingIds.map((id) => record.mountings[id]?.name ?? id).join('; '),
      ),
      text('ball', 'ball', ({ way }) => record.balls[way.ballId]?.name ?? way.ballId),
      whole('runs', 'runs', ({ way }) => way.runs),
      ...measured<WayRow>('crr', '', '1', 'C_rr', ({ way }) => way.crr),
      ...measured<WayRow>('slope', '_rad', 'rad', 'slope found from the motion', ({ way }) => way.slope),
    ],
    function* () {
      for (const result of results) for (const [index, way] of result.ways.entries()) yield { result, index, way }
    },
  )
}

interface PieceRow {
  readonly result: LaneResult
  readonly series: number
  readonly index: number
  readonly piece: LanePiece
}

/** Resistance piece by piece along each lane. */
export function piecesTable({ results }: TableSource): Table {
  return tableOf<PieceRow>(
    {
      name: 'pieces',
      title: 'Pieces of the lanes',
      description: 'Acceleration and C_rr piece by piece along each lane, where the marks give it.',
      primaryKey: ['lane_id', 'finish_id', 'series', 'piece'],
      foreignKeys: [
        {
          fields: ['lane_id', 'finish_id', 'series'],
          table: 'series',
          refersTo: ['lane_id', 'finish_id', 'series'],
        },
      ],
    },
    [
      ...laneColumns<PieceRow>(({ result }) => result),
      whole('series', 'number of the series, from 0', (row) => row.series, { required: true }),
      whole('piece', 'number of the piece along the lane, from 1', (row) => row.index + 1, { required: true }),
      number('from_m', 'm', 'start of the piece', ({ piece }) => piece.from_m),
      number('to_m', 'm', 'end of the piece', ({ piece }) => piece.to_m),
      ...measured<PieceRow>(
        'acceleration',
        '_m_s2',
        'm/s2',
        'acceleration along the travel',
        ({ piece }) => piece.acceleration,
      ),
      ...measured<PieceRow>('crr', '', '1', 'C_rr', ({ piece }) => piece.crr),
    ],
    function* () {
      for (const result of results)
        for (const [series, one] of result.series.entries())
          for (const [index, piece] of (one.local?.pieces ?? []).entries()) yield { result, series, index, piece }
    },
  )
}
