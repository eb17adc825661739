import { useMemo, type ReactNode } from 'react'
import { useSession } from '../record/session.ts'
import { useRecord } from '../record/store.ts'
import { ClipLine } from './clip-line.tsx'
import { rulerTime, ruleOf, timeText } from './clip-time.ts'
import { FilmRuler, type RulerMarks } from './film-ruler.tsx'
import { FilmThumbnails } from './film-thumbnails.tsx'
import { NoPicture } from './no-picture.tsx'
import { showFrame, useFrameKeys } from './frame-keys.ts'
import { useCurrentClip } from './current-clip.ts'
import { laneStroke } from './lane-stroke.ts'
import type { OverlayItem, PictureTool } from './overlay.ts'
import { Stage } from './stage.tsx'
import './workplace.css'

interface Props {
  readonly items: readonly OverlayItem[]
  readonly tool: PictureTool
  /** Colour of the loupe's hairlines. */
  readonly colour?: string
  readonly rest?: { readonly x: number; readonly y: number } | null
  /** Small pictures stand along the film ruler. */
  readonly thumbnails?: boolean
  /** Right under the film ruler: what hangs on the same millimetres. */
  readonly under?: ReactNode
  /** Sheets that use the room below the picture; on small screens they follow the lists. */
  readonly below?: ReactNode
  /** Beside the picture: lists and facts of the station. */
  readonly children: ReactNode
}

/** The shared place of the stations that work on a clip: picture, film ruler, and the station's own lists beside them. */
export function Workplace({
  items,
  tool,
  colour = 'var(--accent)',
  rest = null,
  thumbnails = false,
  under,
  below,
  children,
}: Props) {
  useFrameKeys()
  const { clip, facts, state } = useCurrentClip()
  const frame = useSession((s) => s.frame)
  const place = useSession((s) => s.place)
  const record = useRecord((r) => r)
  const runId = useSession((s) => s.runId)
  const rule = useMemo(() => (clip ? ruleOf(record, clip) : null), [record, clip])
  const runs = useMemo((): readonly RulerMarks[] => {
    const here = Object.values(record.runs).filter((run) => run.clipId === clip?.id)
    const keyOf = (laneId: string) => record.lanes[laneId]?.key ?? ''
    const lanes = [...new Set(here.map((run) => run.laneId))].sort((a, b) => keyOf(b).localeCompare(keyOf(a)))
    return here.map((run) => ({
      id: run.id,
      frames: run.marks.frame,
      colour: laneStroke(record, run.laneId).colour,
      current: run.id === runId,
      row: lanes.indexOf(run.laneId),
    }))
  }, [record, clip, runId])
  const ticks = facts?.ticks ?? null
  const timeOf = (f: number) => (clip ? timeText(clip, rule, ticks, f, 4) : '')
  const label = clip ? `Picture of ${clip.name}, frame ${frame}` : 'Picture'
  return (
    <div className="workplace">
      <h1 className="only-read-aloud">{place[0]?.toUpperCase() + place.slice(1)}</h1>
      <div className={under || below ? 'workplace-picture' : 'workplace-picture stays'}>
        <Stage
          label={label}
          items={clip ? items : []}
          tool={tool}
          colour={colour}
          rest={rest}
          instead={state.kind === 'open' ? undefined : <NoPicture state={state} clip={clip} />}
        />
        {clip && (
          <>
            <ClipLine clip={clip} frame={frame} time={timeOf(frame)} says={tool.says} />
            {thumbnails && <FilmThumbnails clip={clip} frame={frame} />}
            <FilmRuler
              frames={clip.frames}
              frame={frame}
              onFrame={showFrame}
              timeOf={(f) => rulerTime(clip, rule, ticks, f)}
              runs={runs}
              trim={clip.trim ?? null}
            />
          </>
        )}
        {under}
      </div>
      <div className="workplace-aside">{children}</div>
      {below && <div className="workplace-below">{below}</div>}
    </div>
  )
}
