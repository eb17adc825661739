import type { SlowlaneRecord } from './schema/record.ts'

/** The first id that is named somewhere but not held, or an entry filed under another id than its own; undefined when all hold. */
export function danglingReference(record: SlowlaneRecord): { where: string; id: string } | undefined {
  for (const table of [
    'clips',
    'views',
    'lanes',
    'mountings',
    'balls',
    'finishes',
    'runs',
    'trials',
    'sources',
  ] as const) {
    for (const [key, item] of Object.entries(record[table]))
      if (item.id !== key) return { where: `${table} › ${key}`, id: item.id }
  }
  const missing = (table: Readonly<Record<string, unknown>>, id: string) => !Object.hasOwn(table, id)
  for (const clip of Object.values(record.clips)) {
    if (missing(record.views, clip.viewId)) return { where: `clips › ${clip.id} › viewId`, id: clip.viewId }
  }
  for (const mounting of Object.values(record.mountings)) {
    if (missing(record.lanes, mounting.laneId))
      return { where: `mountings › ${mounting.id} › laneId`, id: mounting.laneId }
  }
  for (const run of Object.values(record.runs)) {
    const at = `runs › ${run.id}`
    if (missing(record.lanes, run.laneId)) return { where: `${at} › laneId`, id: run.laneId }
    if (missing(record.mountings, run.mountingId)) return { where: `${at} › mountingId`, id: run.mountingId }
    if (missing(record.views, run.viewId)) return { where: `${at} › viewId`, id: run.viewId }
    if (missing(record.clips, run.clipId)) return { where: `${at} › clipId`, id: run.clipId }
    if (missing(record.finishes, run.finishId)) return { where: `${at} › finishId`, id: run.finishId }
    if (missing(record.balls, run.ballId)) return { where: `${at} › ballId`, id: run.ballId }
  }
  for (const trial of Object.values(record.trials)) {
    if (missing(record.lanes, trial.laneId)) return { where: `trials › ${trial.id} › laneId`, id: trial.laneId }
    if (missing(record.finishes, trial.finishId))
      return { where: `trials › ${trial.id} › finishId`, id: trial.finishId }
  }
  for (const view of Object.values(record.views)) {
    for (const line of Object.values(view.lines)) {
      if (missing(record.lanes, line.laneId)) return { where: `views › ${view.id} › lines`, id: line.laneId }
      if (line.planeId !== null && missing(view.planes, line.planeId))
        return { where: `views › ${view.id} › lines › ${line.laneId} › planeId`, id: line.planeId }
    }
  }
  const source = firstMissingSource(record, record.sources)
  return source && { where: source.where, id: source.id }
}

/** Walks the record for `sources: [id …]` lists. */
function firstMissingSource(
  value: unknown,
  sources: Readonly<Record<string, unknown>>,
  where = '',
): { where: string; id: string } | undefined {
  if (typeof value !== 'object' || value === null) return undefined
  if (Array.isArray(value)) {
    if (typeof value[0] === 'number' || typeof value[0] === 'string') return undefined
    for (const [i, item] of value.entries()) {
      const found = firstMissingSource(item, sources, `${where} › ${i}`)
      if (found) return found
    }
    return undefined
  }
  for (const [key, item] of Object.entries(value)) {
    if (where === '' && key === 'sources') continue
    if (key === 'sources' && Array.isArray(item)) {
      for (const id of item)
        if (typeof id === 'string' && !Object.hasOwn(sources, id))
          return { where: `${where} › sources`.replace(/^ › /, ''), id }
      continue
    }
    const found = firstMissingSource(item, sources, where === '' ? key : `${where} › ${key}`)
    if (found) return found
  }
  return undefined
}
