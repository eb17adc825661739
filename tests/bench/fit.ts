import { inverse, Matrix as OracleMatrix, QrDecomposition } from 'ml-matrix'
import { laneResults } from '../../workers/fit/index.ts'
import { leastSquares } from '../../workers/fit/numerics/least-squares.ts'
import { matrixFromColumns } from '../../workers/fit/numerics/matrix.ts'
import { seededRandom } from '../../workers/fit/numerics/random.ts'
import { constantAcceleration, RecordBuilder } from '../support/record-builder.ts'
import { median, type Figure } from './figure.ts'

/** 16 lanes of 20 runs of 500 marks with a stated uncertainty on everything. */
export function fullRecord() {
  const random = seededRandom(1)
  const builder = new RecordBuilder()
  const view = builder.record.views['view']!
  const rectangular = (half: number) => ({ kind: 'rectangular', half }) as const
  const rate = builder.stated(240, 'rate', rectangular(0.001), { unit: 'Hz', relative: true })
  view.timebase = { kind: 'filmed-at', rate_hz: rate, spacing: 'even' }
  const groove = builder.stated(Math.PI / 2, 'groove', rectangular(Math.PI / 180), { unit: 'rad' })
  for (let i = 0; i < 16; i++) {
    const id = String.fromCharCode(65 + i)
    const slope_rad = 0.03 + 0.001 * i
    builder.lane(id, {
      slope_rad,
      z_m: 0.05 + 0.022 * i,
      slope: {
        kind: 'angle',
        angle_rad: builder.stated(slope_rad, `slope-${id}`, rectangular(0.0017), { unit: 'rad' }),
      },
      guide: { kind: 'v-groove', included_rad: groove },
    })
    const a = (9.80665 * (Math.sin(slope_rad) - 0.008 * Math.cos(slope_rad))) / 1.8
    for (let run = 0; run < 20; run++) {
      const v0 = 0.15 + 0.002 * run
      // 500 frames, over which every run stays on the lane.
      const end = (-v0 + Math.sqrt(v0 * v0 + 2 * a * 0.62)) / a
      const rate_hz = 240
      const slower = Math.min(1, (end * rate_hz) / 500)
      builder.run({
        lane: id,
        s: (t) => constantAcceleration(0.01, v0, a)(t * slower),
        to: 499,
        every: 1,
        noise_px: () => [0.3 * random.normal(), 0.3 * random.normal()],
        sigma_px: 0.3,
      })
    }
  }
  return builder.record
}

function seconds(work: () => unknown): number {
  const start = performance.now()
  work()
  return (performance.now() - start) / 1000
}

/** Full results of a large record in seconds, and our least squares against a general-purpose library's on the same matrices. */
export function run(): Promise<Figure[]> {
  const record = fullRecord()
  laneResults(record)
  const full = median(Array.from({ length: 5 }, () => seconds(() => laneResults(record))))

  const random = seededRandom(2)
  const problems = Array.from({ length: 40 }, () => {
    const columns = Array.from({ length: 12 }, () => Float64Array.from({ length: 500 }, () => random.normal()))
    return { columns, y: Float64Array.from({ length: 500 }, () => random.normal()) }
  })
  const rows = problems.map(({ columns, y }) => ({
    design: new OracleMatrix(Array.from(y, (_, i) => columns.map((column) => column[i]!))),
    right: OracleMatrix.columnVector(Array.from(y)),
  }))
  const ours = () => problems.map(({ columns, y }) => leastSquares(matrixFromColumns(columns), y))
  const byQr = () =>
    rows.map(({ design, right }) => ({
      solution: new QrDecomposition(design).solve(right),
      covariance: inverse(design.transpose().mmul(design)),
    }))
  ours()
  byQr()
  const times = Array.from({ length: 5 }, () => [seconds(ours), seconds(byQr)] as const)
  const worst = ours().reduce((most, fit, k) => {
    if (fit.kind !== 'fitted') return Infinity
    const { solution } = byQr()[k]!
    return fit.parameters.reduce((m, value, j) => Math.max(m, Math.abs(value - solution.get(j, 0))), most)
  }, 0)
  return Promise.resolve([
    { name: 'fit.full.s', value: full, unit: 's' },
    { name: 'fit.vs_oracle', value: median(times.map(([own, oracle]) => own / oracle)), unit: 'ratio' },
    { name: 'fit.oracle_difference', value: worst, unit: '1' },
  ])
}
