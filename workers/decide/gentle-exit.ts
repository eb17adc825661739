import { assertNever } from '../record/index.ts'

/** How gentle an exit is to be, as a person may say it. Of the ball that leaves: its speed, its whole energy, or the height of fall that
 *  gives the same speed. */
export type GentleWish =
  | { readonly kind: 'speed'; readonly speed_m_s: number }
  | { readonly kind: 'energy'; readonly energy_J: number }
  | { readonly kind: 'drop'; readonly drop_m: number }

/** Greatest exit speed [m/s] that a wish allows; an energy needs the ball's mass. Positive wishes only. */
export function speedOfWish(
  wish: GentleWish,
  ball: { readonly k: number; readonly mass_kg: number | null; readonly g_m_s2: number },
):
  | { readonly kind: 'speed'; readonly speed_m_s: number }
  | { readonly kind: 'mass-unknown' }
  | { readonly kind: 'not-positive' } {
  const wished = wish.kind === 'speed' ? wish.speed_m_s : wish.kind === 'energy' ? wish.energy_J : wish.drop_m
  if (!(wished > 0)) return { kind: 'not-positive' }
  switch (wish.kind) {
    case 'speed':
      return { kind: 'speed', speed_m_s: wish.speed_m_s }
    case 'energy':
      // E = ½·k·m·v², spin included
      return ball.mass_kg === null
        ? { kind: 'mass-unknown' }
        : { kind: 'speed', speed_m_s: Math.sqrt((2 * wish.energy_J) / (ball.k * ball.mass_kg)) }
    case 'drop':
      return { kind: 'speed', speed_m_s: Math.sqrt(2 * ball.g_m_s2 * wish.drop_m) }
    default:
      return assertNever(wish)
  }
}
