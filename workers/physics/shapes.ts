/** The cross-section that carries the ball, as plain numbers. Lengths [m], angles [rad]. Walls, edges and rails run along
 *  the lane; "lateral" is across it, positive to the right seen along the direction of travel. */
export type GuideShape =
  | { readonly kind: 'flat' }
  /** Two plane walls. `included_rad` between them (0, π); `roll_rad` turns the whole groove about the lane's direction;
   *  `depth_m` from apex to mouth along the groove's own axis, unlimited where absent. */
  | {
      readonly kind: 'v-groove'
      readonly included_rad: number
      readonly roll_rad?: number
      readonly depth_m?: number
    }
  /** Two plane walls, each given by its own angle from the vertical (0, π/2). */
  | { readonly kind: 'unequal-v'; readonly left_rad: number; readonly right_rad: number }
  /** Two round bars of one radius, their centres `centres_m` apart at one height. */
  | { readonly kind: 'two-rails'; readonly railRadius_m: number; readonly centres_m: number }
  /** Two edges `gap_m` apart; `depth_m` down to the floor between them, no floor where absent. */
  | { readonly kind: 'slot'; readonly gap_m: number; readonly depth_m?: number }
  /** A round-bottomed channel; `depth_m` from its bottom to its edges, unlimited where absent. */
  | { readonly kind: 'channel'; readonly radius_m: number; readonly depth_m?: number }
  /** A rolling radius that was measured: distance per turn over 2π. */
  | { readonly kind: 'typed'; readonly rollingRadius_m: number }

/** A ball as plain numbers. `hollow` is inner over outer radius, 0 or absent for a solid one. */
export interface BallBody {
  readonly radius_m: number
  readonly hollow?: number
}
