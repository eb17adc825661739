import type { FrameSource } from './frame-source.ts'

/** What a job that runs beside the frames is given besides its parameters. */
export interface JobContext<Progress> {
  /** Aborted when the caller loses interest: pass it to `luma` and stop. */
  readonly signal: AbortSignal
  readonly report: (progress: Progress) => void
}

/** Long work on the frames of one clip. Parameters, result and progress are plain data that cross threads. */
export type FrameJob<Params, Result, Progress> = (
  source: FrameSource,
  params: Params,
  context: JobContext<Progress>,
) => Promise<Result>
