import type { Draft } from 'immer'
import type { ShakeTrack } from '../../../workers/record/index.ts'
import type { Clip } from '../../../workers/record/index.ts'

const kept = (value: number, digits: number): number => Number(value.toFixed(digits))

/** Keeps a clip's shake as it was followed: shifts to a thousandth of a pixel, turns to a ten-millionth of a radian, which moves no mark by more. */
export function putShake(clip: Draft<Clip>, track: ShakeTrack): void {
  clip.shake = {
    frames: [...track.frames],
    dx: track.dx.map((value) => kept(value, 3)),
    dy: track.dy.map((value) => kept(value, 3)),
    turn_rad: track.turn_rad.map((value) => kept(value, 7)),
    about: { x: kept(track.about.x, 2), y: kept(track.about.y, 2) },
    u_px: track.u_px,
  }
}

export function forgetShake(clip: Draft<Clip>): void {
  delete clip.shake
}
