import type { Clip, Run, SlowlaneRecord, Source, View } from '../../record/index.ts'
import type { ImportedRun, RejectedRow } from './imported-runs.ts'

/** To what a run of the file belongs. */
export interface RunTarget {
  readonly laneId: string
  readonly mountingId: string
  readonly finishId: string
  readonly ballId: string
  readonly direction: Run['direction']
}

/** Makes ids that the record does not hold yet; `what` is a hint for people who read the file. */
export type NewId = (what: 'run' | 'clip' | 'view' | 'plane' | 'source') => string

/** What an import adds to a record, ready for one `commit`. */
export interface Import {
  readonly kind: 'import'
  readonly sources: readonly Source[]
  readonly views: readonly View[]
  readonly clips: readonly Clip[]
  readonly runs: readonly Run[]
  /** Rows of the file that were left out. */
  readonly rejected: readonly RejectedRow[]
}

/** Puts an import into a record's draft. */
export function addImport(draft: SlowlaneRecord, { sources, views, clips, runs }: Import): void {
  for (const source of sources) draft.sources[source.id] = source
  for (const view of views) draft.views[view.id] = view
  for (const clip of clips) draft.clips[clip.id] = clip
  for (const run of runs) draft.runs[run.id] = run
}

/** A run with its marks' columns; `note` says where it is from. */
export function runWith(
  target: RunTarget,
  ids: { readonly id: string; readonly viewId: string; readonly clipId: string },
  marks: Run['marks'],
  { name }: ImportedRun,
  file: string,
): Run {
  const { laneId, mountingId, finishId, ballId, direction } = target
  const note = `imported from ${file}${name === null || name === '' ? '' : `, run ${name}`}`
  return { ...ids, laneId, mountingId, finishId, ballId, direction, marks, note: note.slice(0, 4000) }
}
