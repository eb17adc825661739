import { memo, useMemo } from 'react'
import type { Clip, Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { MarkFacts } from './mark-facts.tsx'
import { MarksTable } from './marks-table.tsx'
import { quickLook } from './quick-look.ts'
import { TrendSketch } from './trend-sketch.tsx'

interface Props {
  readonly record: SlowlaneRecord
  readonly runId: string
  readonly clip: Clip
  readonly frame: number
  readonly colour: string
}

/** The mark on show within its run: where it is along the lane, the trend through all marks, and the marks as a table. */
export const RunAtAGlance = memo(function RunAtAGlance({ record, runId, clip, frame, colour }: Props) {
  const run = record.runs[runId]
  return run ? <Glance record={record} run={run} clip={clip} frame={frame} colour={colour} /> : null
})

function Glance({ record, run, clip, frame, colour }: Omit<Props, 'runId'> & { readonly run: Run }) {
  const look = useMemo(() => quickLook(record, run.id), [record, run.id])
  return (
    <>
      <MarkFacts clip={clip} run={run} frame={frame} look={look} />
      {look.kind === 'look' && (
        <section aria-label="Trend">
          <TrendSketch look={look} colour={colour} current={look.samples.frame.indexOf(frame)} />
          <MarksTable run={run} look={look} />
        </section>
      )}
    </>
  )
}
