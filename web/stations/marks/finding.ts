import type { JobResult } from '../../../workers/bridge/decode-client.ts'
import type { Clip, SlowlaneRecord, View } from '../../../workers/record/index.ts'
import { ruleOf, ticksAt } from '../../picture/clip-time.ts'
import { openClipOf } from '../../picture/current-clip.ts'
import { pxLine, type PxLine } from '../../picture/streak/px-line.ts'
import { beginSheets, endSheets, sheetStore, takeSheets } from '../../picture/streak/sheet-store.ts'
import type { SheetPoint } from '../../picture/streak/streak-sheet.tsx'
import { newId } from '../../record/new-id.ts'
import { setSession } from '../../record/session.ts'
import { commit, recordStore } from '../../record/store.ts'
import { dismiss, say } from '../../shell/messages.ts'
import { beginWork } from '../../shell/progress.ts'
import { addFoundRuns, type FoundRun, type Taken } from './found-runs.ts'

/** Lane lines of a view by the lane's letter, as the decode thread and its sentences name them. */
function linesOf(
  record: SlowlaneRecord,
  view: View,
): { lines: (PxLine & { id: string })[]; laneOf: (key: string) => string | undefined } {
  const byKey = new Map<string, string>()
  const lines = Object.keys(view.lines).flatMap((laneId) => {
    const line = pxLine(view, laneId)
    const key = record.lanes[laneId]?.key
    if (!line || key === undefined) return []
    byKey.set(key, laneId)
    return [{ ...line, id: key }]
  })
  return { lines, laneOf: (key) => byKey.get(key) }
}

/** A line for the decode thread. The ball's size is left for the search to see: a scale or a diameter that is not as stated must not hide a ball. */
const plain = ({ id, x, y, arc }: PxLine) => ({ id, x, y, arc })

/** Real time of every frame, or the file's own where no rule is set: the search needs only that it goes on. */
function timesOf(record: SlowlaneRecord, clip: Clip, ticks: Float64Array): Float64Array {
  const rule = ruleOf(record, clip)
  return Float64Array.from({ length: clip.frames }, (_, frame) => {
    const at = ticksAt(clip, ticks, frame)
    return rule ? rule.secondsAt(frame, at) : (at - clip.firstTicks) / clip.timescale
  })
}

const range = (clip: Clip) => ({ from: clip.trim?.first ?? 0, to: (clip.trim?.last ?? clip.frames - 1) + 1 })

/** What a sheet was read along: a line that is moved afterwards no longer fits its sheet. */
export const lineStamp = (view: View, laneId: string): string =>
  JSON.stringify([view.lines[laneId]?.shape, view.lines[laneId]?.points])

const mirrored =
  'This clip is mirrored (a front camera does that), so the tool cannot follow balls in it. Mark by hand, or film with the other camera.'

/**
 * Reads the whole clip once: streak sheets of all lanes and, with `find`, every passage as a run. One undo takes all runs away again. Cancelled on
 * the way, it offers the runs found so far and keeps none unasked.
 */
export async function readLanes(clip: Clip, view: View, find: boolean): Promise<void> {
  const open = openClipOf(clip.id)
  const { record } = recordStore.getState()
  const { lines, laneOf } = linesOf(record, view)
  if (!open || lines.length === 0 || sheetStore.getState().reading) return
  const work = beginWork(find ? `Finding runs in ${clip.name}` : `Reading the streaks of ${clip.name}`, 'frames')
  const drawnFrom = new Map(lines.map((line) => [laneOf(line.id)!, lineStamp(view, laneOf(line.id)!)]))
  beginSheets(clip.id, drawnFrom)
  const show = (sheets: JobSheets) =>
    takeSheets(
      clip.id,
      sheets.map(({ lane, tile }) => ({ lane: laneOf(lane) ?? lane, tile })),
    )
  let says: readonly string[] = []
  const token = newId('search-')
  const stop = (): void => void open.run('stop-find', { token }).catch(() => undefined)
  if (find) work.signal.addEventListener('abort', stop, { once: true })
  try {
    const result = await open.run(
      'find-runs',
      {
        lanes: lines.map(plain),
        token,
        time_s: timesOf(record, clip, open.facts.ticks),
        turn_deg: clip.turn,
        shake: clip.shake,
        find,
        ...range(clip),
      },
      {
        // A search is stopped softly, so that what it has found can be offered.
        ...(find ? {} : { signal: work.signal }),
        onProgress({ done, total, sheets }) {
          work.progress(done, total)
          if (sheets) show(sheets)
        },
      },
    )
    if (result.kind === 'mirrored') {
      say('caution', mirrored)
      return
    }
    show(result.sheets)
    says = result.says
    // A cancel that came while the last frame was at work counts as well: nothing is kept unasked.
    const cancelled = result.kind === 'stopped' || (find && work.signal.aborted)
    if (result.kind === 'found' && !cancelled) {
      says = [...says, ...result.runs.flatMap((run) => slideSentences(run))]
      take(clip, result.runs, laneOf, open.facts.ticks)
    } else if (cancelled) offer(clip, result.framesRead, result.runs, laneOf, open.facts.ticks)
  } catch (error) {
    if (!work.signal.aborted)
      say('wrong', `The clip could not be read to its end (${String(error)}). Marks that were there are untouched.`)
  } finally {
    work.end()
    endSheets(says)
  }
}

type JobSheets = Extract<JobResult<'find-runs'>, { readonly says: readonly string[] }>['sheets']

/** A search that was cancelled: its runs come into the record only if the person says so. */
function offer(
  clip: Clip,
  framesRead: number,
  runs: readonly FoundRun[],
  laneOf: (key: string) => string | undefined,
  ticks: Float64Array,
): void {
  const where = `Stopped after ${framesRead} of ${clip.frames} frames.`
  if (runs.length === 0) {
    say('told', `${where} Nothing was found so far, and nothing has changed.`)
    return
  }
  const offered: { id: number } = { id: 0 }
  offered.id = say('caution', `${where} ${count(runs.length, 'run')} found so far; none is kept unless you say so.`, {
    key: `partial ${clip.id}`,
    action: {
      label: runs.length === 1 ? 'Keep it' : 'Keep them',
      run: () => {
        dismiss(offered.id)
        if (recordStore.getState().record.clips[clip.id]) take(clip, runs, laneOf, ticks)
      },
    },
  })
}

/** Where a ball's turning falls behind its rolling. */
const slideSentences = ({ lane, slides }: FoundRun): string[] =>
  slides.map(
    ({ frame, behind }) =>
      `Lane ${lane}: about frame ${frame} the ball turns ${Math.round(100 * behind)} % too little for its way: it slides there, or something hides its pattern.`,
  )

function take(
  clip: Clip,
  runs: readonly FoundRun[],
  laneOf: (key: string) => string | undefined,
  ticks: Float64Array,
): void {
  const { record } = recordStore.getState()
  const made: { taken?: Taken } = {}
  commit(runs.length === 1 ? 'find a run' : `find ${runs.length} runs`, (draft) => {
    made.taken = addFoundRuns(draft, record, clip, runs, laneOf, (frame) => ticksAt(clip, ticks, frame))
  })
  const { taken } = made
  if (!taken) return
  const first = taken.added[0]
  if (first !== undefined)
    setSession({ runId: first, laneId: recordStore.getState().record.runs[first]?.laneId ?? null })
  say(taken.added.length > 0 ? 'told' : 'caution', sentence(record, taken))
}

function sentence(record: SlowlaneRecord, taken: Taken): string {
  const parts = [`${count(taken.added.length, 'run')} found and marked.`]
  if (taken.known > 0)
    parts.push(
      `${count(taken.known, 'passage')} had been marked before and ${taken.known === 1 ? 'was' : 'were'} left alone.`,
    )
  if (taken.short > 0) parts.push(`${count(taken.short, 'passage')} of fewer than four marks left out.`)
  if (taken.unnamed.length > 0)
    parts.push(
      `Runs of lane ${taken.unnamed.map((id) => record.lanes[id]?.key ?? id).join(', ')} were left out: first say in Lanes which ball, finish and slope they have.`,
    )
  return parts.join(' ')
}

const count = (n: number, what: string): string => `${n} ${what}${n === 1 ? '' : 's'}`

/** Follows the one ball that passes through two or three points of a streak, or through one place in the picture. */
export async function followFrom(
  clip: Clip,
  view: View,
  laneId: string,
  clicks: readonly (SheetPoint | { readonly frame: number; readonly x: number; readonly y: number })[],
): Promise<void> {
  const open = openClipOf(clip.id)
  const { record } = recordStore.getState()
  const line = pxLine(view, laneId)
  const key = record.lanes[laneId]?.key
  if (!open || !line || key === undefined) return
  const work = beginWork(`Following a ball on lane ${key}`, 'frames')
  try {
    const result = await open.run(
      'follow-run',
      {
        line: { ...plain(line), id: key },
        clicks,
        time_s: timesOf(record, clip, open.facts.ticks),
        turn_deg: clip.turn,
        shake: clip.shake,
        ...range(clip),
      },
      { signal: work.signal, onProgress: ({ done, total }) => work.progress(done, total) },
    )
    if ('kind' in result) say('caution', mirrored)
    else if (result.run) take(clip, [result.run], () => laneId, open.facts.ticks)
    else say('caution', result.says)
  } catch (error) {
    if (!work.signal.aborted) say('wrong', `The ball could not be followed (${String(error)}).`)
  } finally {
    work.end()
  }
}
