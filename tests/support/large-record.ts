import { type SlowlaneRecord } from '../../workers/record/index.ts'
import { RecordBuilder, constantAcceleration } from './record-builder.ts'
import { seededRandom } from './random-order.ts'

/** A season's work: 200 runs of 500 marks on four lanes, before and after sanding, five in each of 40 clips. */
export function largeRecord(): SlowlaneRecord {
  const random = seededRandom(7)
  const noise = () => random() + random() + random() - 1.5
  const builder = new RecordBuilder()
  for (const [i, lane] of ['A', 'B', 'C', 'D'].entries()) builder.lane(lane, { z_m: 0.32 - 0.06 * i })
  builder.finish('sanded', 1)
  for (let n = 0; n < 200; n++)
    builder.run({
      lane: 'ABCD'[n % 4]!,
      finish: n < 100 ? 'cut' : 'sanded',
      from: 4 * n,
      to: 4 * n + 499,
      every: 1,
      s: (t) => constantAcceleration(0.02, 0.12, 0.04 + 0.01 * (n % 4))(t - (4 * n) / 240),
      noise_px: () => [0.3 * noise(), 0.3 * noise()],
    })
  const { record } = builder
  const clip = record.clips['clip']!
  record.clips = Object.fromEntries(
    Array.from({ length: 40 }, (_, i) => {
      const id = `clip${i}`
      return [id, { ...clip, id, name: `passages ${i + 1}.mp4`, quickKey: id }]
    }),
  )
  for (const [i, run] of Object.values(record.runs).entries()) run.clipId = `clip${Math.floor(i / 5)}`
  return { ...record, id: 'large', title: 'a large record' }
}
