import type { DoesNotRide } from './rolling-geometry.ts'

/** What keeps the ball from riding on the guide, for people: what is wrong, by which values, what to do. */
export function whyItDoesNotRide(reason: DoesNotRide): string {
  switch (reason.kind) {
    case 'not-a-size':
      return `The ${reason.which} is ${showNumber(reason.value)}, which is no possible value. Enter the measured one.`
    case 'falls-through':
      return `The opening of ${mm(reason.opening_m)} lets the ball of ${mm(reason.diameter_m)} through. Check the gap and the ball’s diameter.`
    case 'too-narrow':
      return (
        `A channel of radius ${mm(reason.channelRadius_m)} is narrower than the ball’s radius of ${mm(reason.ballRadius_m)}: ` +
        `the ball rides on its edges. Describe it as a slot with the width between the edges.`
      )
    case 'leaves-wall':
      return (
        `Rolled over by ${degrees(reason.roll_rad)}, the ball lifts off the ${reason.wall} wall (from ${degrees(reason.limit_rad)} on). ` +
        `Check the roll angle and the angle of the groove.`
      )
    case 'rails-overlap':
      return (
        `Rails of ${mm(reason.railDiameter_m)} diameter cannot stand ${mm(reason.centres_m)} from centre to centre. ` +
        `Enter the distance of their centres, not the gap between them.`
      )
    case 'larger-than-ball':
      return (
        `A rolling radius of ${mm(reason.rollingRadius_m)} is larger than the ball’s radius of ${mm(reason.ballRadius_m)}. ` +
        `It is the distance per turn divided by 2π.`
      )
  }
}

function mm(metres: number): string {
  return `${showNumber(metres * 1000)} mm`
}

function degrees(angle_rad: number): string {
  return `${showNumber(Math.abs((angle_rad * 180) / Math.PI))}°`
}

function showNumber(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(4))) : 'no number'
}
