export * from './all-forms.ts'
export type { FormOptions } from './form-draft.ts'
export * from './forms.ts'
export { guideParts, type AcrossLane, type GuidePart, type GuideParts } from './guide-parts.ts'
export {
  laneFriction,
  referenceSpeed_m_s,
  type LaneFriction,
  type ResistanceLaw,
  type Standing,
} from './lane-friction.ts'
export { mjcfLane, type LaneScene, type MjcfResistance } from './mjcf-lane.ts'
