import { frameChanges } from '../decode/frame-changes.ts'
import { stillBackground } from '../decode/still-background.ts'
import { meanLuma } from '../decode/mean-luma.ts'
import type { FrameJob } from '../decode/frame-job.ts'
import { findJob, followJob, stopFindJob } from '../locate/beside-frames/find-job.ts'
import { settleJob } from '../locate/beside-frames/settle-job.ts'
import { followStillJob } from './beside-frames/follow-still-job.ts'
import { readBentEdgeJob, readStringJob } from './beside-frames/read-lines-job.ts'
import { settleCornersJob } from './beside-frames/settle-corners-job.ts'

/** Long work that runs in the decode worker, beside the frames, by name. Rooms that look at pixels add theirs here. */
export const frameJobs = {
  'mean-luma': meanLuma,
  'frame-changes': frameChanges,
  'still-background': stillBackground,
  'settle-click': settleJob,
  'find-runs': findJob,
  'stop-find': stopFindJob,
  'follow-run': followJob,
  'read-string': readStringJob,
  'read-bent-edge': readBentEdgeJob,
  'settle-corners': settleCornersJob,
  'follow-still': followStillJob,
}

export type FrameJobs = typeof frameJobs
export type FrameJobName = keyof FrameJobs
export type JobParams<Name extends FrameJobName> =
  FrameJobs[Name] extends FrameJob<infer Params, infer _R, infer _P> ? Params : never
export type JobResult<Name extends FrameJobName> =
  FrameJobs[Name] extends FrameJob<infer _A, infer Result, infer _P> ? Result : never
export type JobProgress<Name extends FrameJobName> =
  FrameJobs[Name] extends FrameJob<infer _A, infer _R, infer Progress> ? Progress : never
