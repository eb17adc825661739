import type { Draft } from 'immer'
import { ballMaterials, standardDiameters } from '../../../workers/physics/materials.ts'
import type { Ball, SlowlaneRecord } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { newId } from '../../record/new-id.ts'
import { dropUnusedSources, writeStated, type StatedEntry } from '../stated/stated-edits.ts'

export { ballMaterials, standardDiameters }

/** Balls are made far truer than this; what a calliper would see (common practice, no source). */
const makersHalf_m = 0.00001

const makersSize = (diameter_m: number): StatedEntry => ({
  value: diameter_m,
  distribution: { kind: 'rectangular', half: makersHalf_m },
  basis: 'the maker’s size',
  unknown: false,
})

const nameOf = (diameter_m: number, material: string): string => `${showPlain(1000 * diameter_m, 5)} mm ${material}`

/** A ball of a standard size and material; weigh it where energies matter. */
export function addBall(draft: Draft<SlowlaneRecord>, diameter_m: number, materialName: string): string {
  const id = newId('ball-')
  const about = { name: 'diameter of the ball', unit: 'm' } as const
  draft.balls[id] = {
    id,
    name: nameOf(diameter_m, materialName),
    diameter_m: writeStated(draft, undefined, makersSize(diameter_m), about),
    material: materialName,
  }
  setMaterial(draft, id, materialName)
  return id
}

export function setDiameter(draft: Draft<SlowlaneRecord>, ballId: string, diameter_m: number): void {
  const ball = draft.balls[ballId]
  if (!ball) return
  const isOwnName = ball.name !== nameOf(ball.diameter_m.value, ball.material)
  ball.diameter_m = writeStated(draft, ball.diameter_m, makersSize(diameter_m), {
    name: 'diameter of the ball',
    unit: 'm',
  })
  if (!isOwnName) ball.name = nameOf(diameter_m, ball.material)
}

export function setMaterial(draft: Draft<SlowlaneRecord>, ballId: string, materialName: string): void {
  const ball = draft.balls[ballId]
  const material = ballMaterials.find((m) => m.name === materialName)
  if (!ball) return
  const isOwnName = ball.name !== nameOf(ball.diameter_m.value, ball.material)
  ball.material = materialName
  if (!isOwnName) ball.name = nameOf(ball.diameter_m.value, materialName)
  if (material)
    ball.density_kg_m3 = writeStated(
      draft,
      ball.density_kg_m3,
      {
        value: material.density_kg_m3,
        distribution: { kind: 'rectangular', half: material.spread_kg_m3 },
        basis: material.source,
        unknown: false,
      },
      { name: `density of ${materialName}`, unit: 'kg/m3' },
    )
  else {
    delete ball.density_kg_m3
    dropUnusedSources(draft)
  }
}

export const runsWithBall = (record: SlowlaneRecord, ballId: string): number =>
  Object.values(record.runs).filter((run) => run.ballId === ballId).length

/** A ball that no run rolls can go. */
export function removeBall(draft: Draft<SlowlaneRecord>, ballId: string): void {
  delete draft.balls[ballId]
  for (const trial of Object.values(draft.trials)) if (trial.ballId === ballId) trial.ballId = null
  dropUnusedSources(draft)
}

export const ballDiameterFault = (diameter_m: number): string | undefined =>
  diameter_m > 0 && diameter_m < 1
    ? undefined
    : `A ball of ${showPlain(1000 * diameter_m)} mm cannot be measured here. Type its diameter in mm, for example 16.`

export type { Ball }
