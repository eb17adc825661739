import type { Clip, Marks, Run, SlowlaneRecord } from '../../record/index.ts'
import type { ImportedRun, ImportedRuns, RejectedRow } from './imported-runs.ts'
import { runWith, type Import, type NewId, type RunTarget } from './record-parts.ts'

export interface ClipTarget {
  readonly clipId: string
  /** Number that the file gives the clip's first frame: 0, or 1 where it counts from one. */
  readonly firstFrame: 0 | 1
  /** Name of the file, for the note of each run. */
  readonly file: string
  readonly of: (run: ImportedRun) => RunTarget
  /** Ticks of a frame where the page knows them; else frames are taken as evenly spaced. */
  readonly ticksOf?: (frame: number) => number | undefined
}

export type ClipImportProblem =
  | { readonly kind: 'not-in-picture' }
  | { readonly kind: 'clip-missing'; readonly clipId: string }
  | { readonly kind: 'no-row-in-clip'; readonly rejected: readonly RejectedRow[] }

/** A time that lies farther from a frame than this share of the interval belongs to none. */
const nearFrame = 0.25

/**
 * Marks in the picture [px] as runs of a clip that the record holds. Times are the file's own, from the clip's first frame, and must be those of frames.
 * Marks without a standard uncertainty get that of a click.
 */
export function importIntoClip(
  record: SlowlaneRecord,
  imported: ImportedRuns,
  target: ClipTarget,
  newId: NewId,
): Import | ClipImportProblem {
  if (imported.where !== 'picture') return { kind: 'not-in-picture' }
  const clip = record.clips[target.clipId]
  if (!clip) return { kind: 'clip-missing', clipId: target.clipId }
  const rejected: RejectedRow[] = []
  const runs = imported.runs.flatMap((run): Run[] => {
    const marks = marksOf(run, imported.when, clip, target, record.settings.click_px, rejected)
    if (marks.frame.length === 0) return []
    return [
      runWith(target.of(run), { id: newId('run'), viewId: clip.viewId, clipId: clip.id }, marks, run, target.file),
    ]
  })
  const all = [...imported.rejected, ...rejected].sort((a, b) => a.line - b.line)
  if (runs.length === 0) return { kind: 'no-row-in-clip', rejected: all }
  return { kind: 'import', sources: [], views: [], clips: [], runs, rejected: all }
}

function marksOf(
  run: ImportedRun,
  when: ImportedRuns['when'],
  clip: Clip,
  { firstFrame, ticksOf }: ClipTarget,
  click_px: number,
  rejected: RejectedRow[],
): Marks {
  const marks: Marks = { frame: [], ticks: [], x: [], y: [], sigma: [], origin: [], doubt: [] }
  const perFrame = clip.frames > 1 ? (clip.lastTicks - clip.firstTicks) / (clip.frames - 1) : 0
  for (const [i, at] of run.when.entries()) {
    const line = run.line[i]!
    const exact = when === 'frame' ? at - firstFrame : perFrame > 0 ? (at * clip.timescale) / perFrame : 0
    const frame = Math.round(exact)
    if (Math.abs(exact - frame) > nearFrame) {
      rejected.push({ line, column: null, why: { kind: 'between-frames', time_s: at, frame: Math.floor(exact) } })
      continue
    }
    if (frame < 0 || frame >= clip.frames) {
      rejected.push({ line, column: null, why: { kind: 'not-in-clip', frame, frames: clip.frames } })
      continue
    }
    const before = marks.frame.at(-1)
    if (before === frame) {
      rejected.push({ line, column: null, why: { kind: 'same-time', line: run.line[i - 1]! } })
      continue
    }
    marks.frame.push(frame)
    marks.ticks.push(run.ticks?.[i] ?? ticksOf?.(frame) ?? clip.firstTicks + frame * perFrame)
    marks.x.push(run.place[i]!)
    marks.y.push(run.y![i]!)
    marks.sigma.push(run.sigma[i] ?? click_px)
    marks.origin.push(run.origin[i] ?? 'imported')
    marks.doubt.push(run.doubt[i]!)
  }
  return marks
}
