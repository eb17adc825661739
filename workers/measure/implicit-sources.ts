import { type LaneLine, type Plane, type SlowlaneRecord, type Source, type View, assertNever } from '../record/index.ts'
import { clockSourceId, measuredRate } from './clip-clock.ts'
import { ownUncertainty } from './independent-parts.ts'
import { frameOf, lensSourceId, unknownK1Half } from './lens.ts'
import { nearerSourceId, unstatedNearer_m } from './lane-line.ts'
import { placingSources } from './placing.ts'
import { pointPositionIds } from './plane-map.ts'
import { stationSourceId } from './slope.ts'
import { fitStraightEdges } from './straight-edges.ts'
import { tapeBendId, tickPositionId } from './tick-tape.ts'
import { pieceSourceId } from './time-of.ts'

/**
 * Sources that nobody stated but that follow from the record: placing noise of every calibration point and lane-line point, a lens or a depth that
 * was not looked at, the reading of a clock. By id; together with the record's own they are all that can move a sample or a slope.
 */
export function implicitSources(record: SlowlaneRecord): Record<string, Source> {
  const all: Record<string, Source> = {}
  const add = (sources: readonly Source[]) => {
    for (const source of sources) all[source.id] = source
  }
  for (const view of Object.values(record.views)) {
    add(lensSources(record, view))
    add(clockSources(record, view))
    for (const plane of Object.values(view.planes)) add(planeSources(record, view, plane))
    for (const line of Object.values(view.lines)) add(lineSources(record, view, line))
    add(gravitySources(record, view))
  }
  for (const clip of Object.values(record.clips))
    for (const [i, piece] of (clip.pieces ?? []).entries())
      add([
        normal(
          pieceSourceId(clip.id, i),
          `rate from frame ${piece.fromFrame} on in ${clip.name}`,
          '1',
          piece.uRelative,
        ),
      ])
  for (const mounting of Object.values(record.mountings)) add(stationSources(record, mounting.id))
  return all
}

/** Every source by id: the record's own and those that follow from it. */
export function allSources(record: SlowlaneRecord): Record<string, Source> {
  return { ...implicitSources(record), ...record.sources }
}

export function lensSources(record: SlowlaneRecord, view: View): Source[] {
  const id = lensSourceId(view.id)
  if (!view.lens)
    return [
      {
        id,
        name: `lens curvature in ${view.name}, not looked at`,
        unit: '1',
        distribution: { kind: 'rectangular', half: unknownK1Half },
        basis: 'phones straighten their main camera’s video to about this',
        unknown: true,
      },
    ]
  if (view.lens.kind === 'typed') return []
  const fit = fitStraightEdges(view.lens.edges, frameOf(view), record.settings.placing_px)
  return fit.kind === 'edges' ? [normal(id, `lens curvature in ${view.name}, from edges`, '1', fit.u, fit.dof)] : []
}

export function clockSources(record: SlowlaneRecord, view: View): Source[] {
  if (view.timebase.kind !== 'measured') return []
  const rate = measuredRate(record, view, new Map())
  if (rate.kind !== 'rate') return []
  return [normal(clockSourceId(view.id), `reading the clock in ${view.name}`, '1', rate.uRelative, rate.dof)]
}

export function planeSources(record: SlowlaneRecord, view: View, plane: Plane): Source[] {
  const u = plane.u_px ?? record.settings.placing_px
  const where = [view.id, 'plane', plane.id] as const
  switch (plane.kind) {
    case 'bars':
      return plane.bars.flatMap((bar) => [
        ...placingSources(where, `${bar.id}-a`, `the first end of a bar of ${plane.name}`, u),
        ...placingSources(where, `${bar.id}-b`, `the second end of a bar of ${plane.name}`, u),
      ])
    case 'rectangle':
      return plane.corners.flatMap((_, i) => placingSources(where, String(i), `corner ${i + 1} of ${plane.name}`, u))
    case 'points': {
      const own = ownUncertainty(plane.position_m, record)
      return plane.points.flatMap((_, i) => {
        const [x, y] = pointPositionIds(view.id, plane.id, i)
        const name = `point ${i + 1} of ${plane.name}`
        return [
          ...placingSources(where, String(i), name, u),
          ...(own > 0 ? [normal(x, `${name}, true place`, 'm', own), normal(y, `${name}, true height`, 'm', own)] : []),
        ]
      })
    }
    default:
      return assertNever(plane)
  }
}

export function lineSources(record: SlowlaneRecord, view: View, line: LaneLine): Source[] {
  const u = record.settings.placing_px
  const lane = `lane ${record.lanes[line.laneId]?.key ?? line.laneId}`
  const sources = line.points.flatMap((_, i) =>
    placingSources([view.id, 'line', line.laneId], String(i), `point ${i + 1} of the line of ${lane}`, line.u_px ?? u),
  )
  const ticks = line.ticks ?? []
  const own = ownUncertainty(line.tickPosition_m, record)
  for (const i of ticks.keys()) {
    sources.push(...placingSources([view.id, 'tick', line.laneId], String(i), `tick ${i + 1} on ${lane}`, u))
    if (own > 0)
      sources.push(normal(tickPositionId(view.id, line.laneId, i), `tick ${i + 1} on ${lane}, true place`, 'm', own))
  }
  if (ticks.length > 0 && line.shape !== 'straight')
    sources.push(normal(tapeBendId(view.id, line.laneId), `scale between the ticks on ${lane}`, '1', 1))
  if (!nearerIsStated(view, line))
    sources.push({
      id: nearerSourceId(view.id, line.laneId),
      name: `depth of ${lane} against its scale, not stated`,
      unit: 'm',
      distribution: { kind: 'rectangular', half: unstatedNearer_m },
      basis: 'set up by eye',
      unknown: true,
    })
  return sources
}

/** Whether anybody said how far the lane lies from its scale. */
export function nearerIsStated(view: View, line: LaneLine): boolean {
  if (line.nearer_m) return true
  const taped = (line.ticks?.length ?? 0) > 0
  return !taped && line.planeId !== null && view.planes[line.planeId]?.nearer_m !== undefined
}

export function gravitySources(record: SlowlaneRecord, view: View): Source[] {
  return view.gravity.flatMap((line) => {
    const u = line.u_px ?? record.settings.placing_px
    const name = line.kind === 'plumb' ? 'a plumb line' : 'a level edge'
    const where = [view.id, 'gravity', line.id] as const
    return [
      ...placingSources(where, 'a', `the first end of ${name}`, u),
      ...placingSources(where, 'b', `the second end of ${name}`, u),
    ]
  })
}

export function stationSources(record: SlowlaneRecord, mountingId: string): Source[] {
  const slope = record.mountings[mountingId]?.slope
  if (slope?.kind !== 'along') return []
  const own = ownUncertainty(slope.height_m, record)
  if (!(own > 0)) return []
  return slope.stations.map((_, i) => normal(stationSourceId(mountingId, i), `height of station ${i + 1}`, 'm', own))
}

function normal(id: string, name: string, unit: Source['unit'], u: number, dof = Infinity): Source {
  return { id, name, unit, distribution: Number.isFinite(dof) ? { kind: 'normal', u, dof } : { kind: 'normal', u } }
}
