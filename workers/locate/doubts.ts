/** Why a mark is less sure, as bits of one number per mark. */
export const Doubt = {
  /** One edge of the ball was hidden or unclear: placed by the other and the learned width. */
  oneEdge: 1,
  /** Ball and background nearly equally bright here. */
  weakContrast: 2,
  /** The outline fits worse than elsewhere in the passage. */
  poorFit: 4,
  /** Another ball comes close. */
  neighbour: 8,
  /** The ball smears over more than its edge can show. */
  blurred: 16,
  /** Far from where its neighbours in time would have it. */
  outlier: 32,
} as const

export type DoubtBits = number

/** Why a frame inside a run carries no mark. */
export type GapReason = 'hidden' | 'too-close' | 'repeated-frame' | 'width-off' | 'not-seen' | 'picture-edge'

/** Frames from … to (both included) without marks. */
export interface Gap {
  readonly from: number
  readonly to: number
  readonly reason: GapReason
}

/** Why a run begins or ends where it does. */
export type EndReason = 'lane-end' | 'picture-edge' | 'rest' | 'turn' | 'touch' | 'hidden' | 'clip-end'
