import { expect, test } from 'vitest'
import { joinTracks } from '../../../workers/locate/join-tracks.ts'
import type { Track } from '../../../workers/locate/link.ts'

const RADIUS = 12
const time_s = Float64Array.from({ length: 400 }, (_, frame) => frame / 240)

/** A ball at 2 columns a frame, seen `off` columns beside its middle in frames from … to, in every `every`-th of them. */
function track(from: number, to: number, off = 0, every = 1): Track {
  const frames = Array.from({ length: Math.floor((to - from) / every) + 1 }, (_, i) => from + i * every)
  return { frames, columns: frames.map((frame) => 2 * frame + off), strengths: frames.map(() => 10) }
}

const join = (...tracks: Track[]): Track[] => joinTracks(tracks, time_s, RADIUS, 240)

test('two rims of one ball, seen in turns, are one track, and its frames rise', () => {
  const [one, ...rest] = join(track(0, 200), track(181, 300, 1.4 * RADIUS, 2))
  expect(rest).toEqual([])
  expect([one!.frames[0], one!.frames.at(-1)]).toEqual([0, 299])
  expect(one!.frames.every((frame, i) => i === 0 || frame > one!.frames[i - 1]!)).toBe(true)
  expect(one!.columns).toHaveLength(one!.frames.length)
})

test('two balls that touch stay two', () => {
  expect(join(track(0, 200), track(150, 300, 2 * RADIUS))).toHaveLength(2)
})

test('what hardly goes on after the other ended is its shadow, not its continuation', () => {
  expect(join(track(0, 200), track(150, 205, RADIUS))).toHaveLength(2)
})

test('a track that begins where and when another ended goes on from it, whatever their speeds say', () => {
  const jump = track(201, 215, RADIUS)
  expect(join(track(0, 200), { ...jump, columns: jump.columns.map((_, i) => 402 + RADIUS - 0.5 * i) })).toHaveLength(1)
})
