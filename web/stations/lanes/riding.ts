import { ballBody, guideShape } from '../../../workers/fit/guide-numbers.ts'
import { rollingGeometry, type RollingGeometry } from '../../../workers/physics/rolling-geometry.ts'
import { rotationalShare, turnsPerMetre } from '../../../workers/physics/ball.ts'
import type { BallBody, GuideShape } from '../../../workers/physics/shapes.ts'
import {
  noDeviations,
  standardUncertainty,
  valueOf,
  type Ball,
  type Guide,
  type SlowlaneRecord,
  type Stated,
} from '../../../workers/record/index.ts'

export interface Riding {
  readonly shape: GuideShape
  readonly ball: BallBody
  readonly geometry: RollingGeometry
}

/** How a ball rides on a guide as stated. */
export function riding(record: SlowlaneRecord, guide: Guide, ball: Ball): Riding {
  const read = (stated: Stated) => valueOf(stated, record.sources, noDeviations)
  const shape = guideShape(guide, read)
  const body = ballBody(ball, read)
  return { shape, ball: body, geometry: rollingGeometry(shape, body) }
}

export interface RidingFigure {
  readonly value: number
  /** Standard uncertainty from the stated dimensions; null where a dimension at its limit would not carry the ball. */
  readonly u: number | null
}

export interface RidingFigures {
  readonly rollingRadius_m: RidingFigure
  readonly k: RidingFigure
  readonly turnsPerMetre: RidingFigure
  readonly rotationalShare: number
}

/** Rolling radius, inertia factor and turns with their uncertainty: each source moved by its standard uncertainty (JCGM 100:2008, 5.1.3 note 2). */
export function ridingFigures(record: SlowlaneRecord, guide: Guide, ball: Ball): RidingFigures | null {
  const at = (moved: ReadonlyMap<string, number>): readonly [number, number, number] | null => {
    const read = (stated: Stated) => valueOf(stated, record.sources, moved)
    const found = rollingGeometry(guideShape(guide, read), ballBody(ball, read))
    return found.kind === 'rides' ? [found.rollingRadius_m, found.k, turnsPerMetre(found.rollingRadius_m)] : null
  }
  const here = at(noDeviations)
  if (!here) return null
  const ids = new Set(
    [...Object.values(guide), ...Object.values(ball)].flatMap((part: unknown) =>
      typeof part === 'object' && part !== null && 'sources' in part ? (part as Stated).sources : [],
    ),
  )
  const variance = [0, 0, 0]
  let known = true
  for (const id of ids) {
    const source = record.sources[id]
    const u = source ? standardUncertainty(source.distribution) : 0
    if (u === 0) continue
    const up = at(new Map([[id, u]]))
    const down = at(new Map([[id, -u]]))
    if (!up || !down) known = false
    else for (let i = 0; i < 3; i++) variance[i]! += ((up[i]! - down[i]!) / 2) ** 2
  }
  const figure = (i: number): RidingFigure => ({ value: here[i]!, u: known ? Math.sqrt(variance[i]!) : null })
  return {
    rollingRadius_m: figure(0),
    k: figure(1),
    turnsPerMetre: figure(2),
    rotationalShare: rotationalShare(here[1]),
  }
}
