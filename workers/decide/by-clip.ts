import type { Run, SlowlaneRecord } from '../record/index.ts'

/** A record regrouped so that two clips stand where finishes do. */
export interface ByClip {
  readonly record: SlowlaneRecord
  /** Ids of the two groups, used as finishes. */
  readonly first: string
  readonly second: string
  /** Lanes whose runs in one of the clips were rolled on more than one finish, which the comparison takes together. */
  readonly mixed: readonly { readonly laneId: string; readonly clipId: string; readonly finishIds: readonly string[] }[]
}

const groupOf = (clipId: string): string => `clip:${clipId}`

/**
 * The record with the runs of two clips only, each clip's runs under a finish named after it: clip is then held against clip by the same fit, the same
 * sources and the same tests as before against after. The record handed in stays as it is.
 */
export function byClip(record: SlowlaneRecord, firstClipId: string, secondClipId: string): ByClip {
  const clips = [firstClipId, secondClipId]
  const kept = Object.values(record.runs).filter((run) => clips.includes(run.clipId))
  const runs = Object.fromEntries(kept.map((run): [string, Run] => [run.id, { ...run, finishId: groupOf(run.clipId) }]))
  const finishes = Object.fromEntries(
    clips.map((clipId, order) => {
      const id = groupOf(clipId)
      return [id, { id, name: record.clips[clipId]?.name ?? clipId, order }]
    }),
  )
  return {
    record: { ...record, runs, finishes, trials: {} },
    first: groupOf(firstClipId),
    second: groupOf(secondClipId),
    mixed: mixedFinishes(kept),
  }
}

function mixedFinishes(runs: readonly Run[]): ByClip['mixed'] {
  const groups = new Map<string, { laneId: string; clipId: string; finishes: Set<string> }>()
  for (const { laneId, clipId, finishId } of runs) {
    const key = JSON.stringify([laneId, clipId])
    const group = groups.get(key) ?? { laneId, clipId, finishes: new Set<string>() }
    group.finishes.add(finishId)
    groups.set(key, group)
  }
  return [...groups.values()]
    .filter(({ finishes }) => finishes.size > 1)
    .map(({ laneId, clipId, finishes }) => ({ laneId, clipId, finishIds: [...finishes] }))
}
