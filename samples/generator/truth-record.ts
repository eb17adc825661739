import type { Camera } from './camera.ts'
import { rectangleCorners, skirting } from './furnish.ts'
import { inertiaFactor, rollingRadius } from './guide.ts'
import { acceleration } from './motion.ts'
import { outlineOf } from './outline.ts'
import type { Passage } from './passages.ts'
import { acrossOf, buildPath } from './path.ts'
import type { LaneSpec, Scene } from './scene.ts'
import type { CompactTruth, PlacedPoint, TruthLane, TruthTrack } from '../truth.ts'
import { add, along, mix, type Vec3 } from './vector.ts'
import { profile } from './guide.ts'

export const conventions = {
  pixels: 'as displayed; (0,0) is the outer corner of the top-left pixel, whose centre is (0.5,0.5)',
  time: 't: mid-exposure of the sensor row at the centre of the ball, in seconds of the filmed scene',
  columns: 'whole numbers, the first as it is, each next one as its difference from the one before; units beside them',
  s: 'distance of the centre of the ball along its lane; v: its speed, + downhill',
  'x,y': 'projected centre of the ball at t; dox, doy: centroid of its outline minus x, y',
  r: 'radius of the circle with the area of the outline',
  seen: 'share of the disc of the ball that nothing hides (lip of the groove, posts and picture edge included)',
  post: 'share of it hidden by posts that stand in front',
  state: 'visible, partly or hidden (behind a post), cut (by the picture edge); in stretches of [state, frames]',
  world: 'metres, x along the lanes, y away from the camera, z up, gravity 9.80665 along -z',
} as const

/** Units of the whole numbers in a track's columns. */
export const units = {
  t: { per: 1e-7, unit: 's' },
  s: { per: 1e-7, unit: 'm' },
  v: { per: 1e-6, unit: 'm/s' },
  x: { per: 1e-4, unit: 'px' },
  y: { per: 1e-4, unit: 'px' },
  dox: { per: 1e-4, unit: 'px' },
  doy: { per: 1e-4, unit: 'px' },
  r: { per: 1e-4, unit: 'px' },
  seen: { per: 1e-3, unit: '1' },
  post: { per: 1e-3, unit: '1' },
} as const

type Column = keyof typeof units
type State = 'visible' | 'partly' | 'hidden' | 'cut'

/** Collects what the film saw, ball by ball. */
export interface TruthRecorder {
  note(frame: number, time_s: number, passage: Passage, camera: Camera, seen: number, post: number): void
  finish(): CompactTruth
}

export function recordTruth(scene: Scene, camera: Camera): TruthRecorder {
  const open = new Map<string, { frames: number[]; values: Record<Column, number[]>; states: [State, number][] }>()
  const { width, height } = scene.image
  return {
    note(frame, time_s, passage, shaken, seen, post) {
      const { s_m, v_m_s } = passage.motion.at(time_s)
      const { centre } = passage.pose(time_s)
      const [x, y] = shaken.project(centre)
      const outline = outlineOf(shaken, centre, passage.ball.radius_m)
      const edges = [outline.x, width - outline.x, outline.y, height - outline.y]
      if (edges.some((gap) => gap <= -outline.radius)) return
      const cut = edges.some((gap) => gap < outline.radius)
      const state: State = cut ? 'cut' : post > 0.98 ? 'hidden' : post > 0.002 ? 'partly' : 'visible'
      let track = open.get(passage.ball.id)
      if (!track) {
        const values = Object.fromEntries((Object.keys(units) as Column[]).map((key) => [key, [] as number[]]))
        track = { frames: [], values: values as Record<Column, number[]>, states: [] }
        open.set(passage.ball.id, track)
      }
      track.frames.push(frame)
      const row = {
        t: time_s,
        s: s_m,
        v: v_m_s,
        x,
        y,
        dox: outline.x - x,
        doy: outline.y - y,
        r: outline.radius,
        seen,
        post,
      }
      for (const key of Object.keys(units) as Column[]) track.values[key].push(Math.round(row[key] / units[key].per))
      const last = track.states[track.states.length - 1]
      if (last && last[0] === state) last[1]++
      else track.states.push([state, 1])
    },
    finish() {
      const tracks: TruthTrack[] = [...open.entries()].map(([ball, track]) => ({
        ball,
        frames: differences(track.frames),
        columns: Object.fromEntries(
          (Object.keys(units) as Column[]).map((key) => [key, differences(track.values[key])]),
        ) as Record<Column, number[]>,
        states: track.states,
      }))
      return { ...sceneTruth(scene, camera), tracks }
    },
  }
}

function differences(values: readonly number[]): number[] {
  return values.map((value, i) => (i === 0 ? value : value - values[i - 1]!))
}

const pixel = (value: number): number => Math.round(value * 1e4) / 1e4
const metre = (value: number): number => Math.round(value * 1e7) / 1e7

function place(camera: Camera, point: Vec3): PlacedPoint {
  const [x, y] = camera.project(point)
  const [, , depth] = camera.toCamera(point)
  return { at_m: [metre(point[0]), metre(point[1]), metre(point[2])], px: [pixel(x), pixel(y)], depth_m: metre(depth) }
}

function sceneTruth(scene: Scene, camera: Camera): Omit<CompactTruth, 'tracks'> {
  const { furniture, time } = scene
  const duration = 1 / time.capture_fps
  return {
    what: 'truth of a synthetic ball-lane clip',
    version: 2,
    name: scene.name,
    title: scene.title,
    seed: scene.seed,
    conventions,
    units,
    image: { ...scene.image },
    time: { ...time, seconds_per_frame: duration, first_frame_t: time.exposure_s / 2 },
    codec: scene.codec,
    camera: {
      ...scene.camera,
      world_to_camera: camera.axes,
      principal_px: camera.centre_px,
      distortion: 'a point at normalised radius r appears at r (1 + k1 r^2)',
      shake_rad: scene.shake_rad ?? 0,
    },
    sensor: scene.sensor,
    bars: furniture.bars.map((bar) => {
      const length_m = bar.block_m * bar.blocks
      const ends = [place(camera, bar.from_m), place(camera, add(bar.from_m, [length_m, 0, 0]))] as const
      return { length_m: metre(length_m), plane: bar.plane, ends }
    }),
    ...(furniture.rectangle
      ? {
          rectangle: {
            width_m: furniture.rectangle.width_m,
            height_m: furniture.rectangle.height_m,
            plane: furniture.rectangle.plane,
            corners: rectangleCorners(furniture.rectangle).map((corner) => place(camera, corner)),
          },
        }
      : {}),
    straight_edges: straightEdges(scene).map(({ name, from, to }) => ({
      name,
      points: Array.from({ length: 25 }, (_, i) => place(camera, mix(from, to, i / 24))).filter(({ px }) =>
        inPicture(px, scene.image),
      ),
    })),
    plumb_lines: (furniture.plumb ?? []).map(({ top_m, length_m }) => ({
      ends: [place(camera, top_m), place(camera, add(top_m, [0, 0, -length_m]))] as const,
    })),
    ...(furniture.lamp
      ? {
          lamp: {
            rate_hz: furniture.lamp.rate_hz,
            centre: place(camera, furniture.lamp.centre_m),
            radius_px: pixel(outlineOf(camera, furniture.lamp.centre_m, furniture.lamp.radius_m).radius),
          },
        }
      : {}),
    ...(furniture.hand ? { hand: { from_s: furniture.hand.from_s, to_s: furniture.hand.to_s } } : {}),
    lanes: scene.lanes.map((lane) => laneTruth(lane, camera)),
    balls: scene.balls.map((ball) => ({
      id: ball.id,
      lane: ball.lane,
      radius_m: ball.radius_m,
      surface: ball.surface.kind,
      spots: ball.surface.kind === 'matt' ? (ball.surface.spots?.count ?? 0) : 0,
      release_s: ball.release_s,
      s0_m: ball.s0_m,
      v0_m_s: ball.v0_m_s,
      c: (scene.lanes.find(({ name }) => name === ball.lane)?.c0 ?? 0) + ball.run_c,
      waits: ball.waits,
      turning: ball.turning ?? 1,
    })),
  }
}

/** Edges that are straight in the scene: what a lens bends can be read off them. */
function straightEdges(scene: Scene): { name: string; from: Vec3; to: Vec3 }[] {
  const { bench_z_m, wall_y_m, uprights } = scene.furniture
  const front = wall_y_m - skirting.depth_m
  return [
    {
      name: 'upper edge of the skirting board',
      from: [-0.6, front, bench_z_m + skirting.height_m],
      to: [1.3, front, bench_z_m + skirting.height_m],
    },
    { name: 'skirting board on the bench', from: [-0.6, front, bench_z_m], to: [1.3, front, bench_z_m] },
    ...uprights.map((post, i): { name: string; from: Vec3; to: Vec3 } => ({
      name: `left front edge of upright ${i + 1}`,
      from: [post.x_m - post.width_m / 2, post.y_m[0], post.foot_m ?? bench_z_m],
      to: [post.x_m - post.width_m / 2, post.y_m[0], post.top_m],
    })),
  ]
}

const inPicture = (px: readonly [number, number], image: Scene['image']): boolean =>
  px[0] >= 0 && px[0] <= image.width && px[1] >= 0 && px[1] <= image.height

function laneTruth(lane: LaneSpec, camera: Camera): TruthLane {
  const path = buildPath(lane.path)
  const radius = lane.ball_radius_m
  const k = inertiaFactor(lane.guide, radius)
  const slope = path.slope_rad(0)
  const clear = { slope_rad: () => slope, resistance: () => lane.c0, k, tau_s: Infinity }
  const stops = Array.from({ length: 41 }, (_, i) => (path.length_m * i) / 40)
  const { ticks, guide } = lane
  return {
    name: lane.name,
    finish: lane.finish,
    slope_rad: slope,
    slope_deg: (slope * 180) / Math.PI,
    path: lane.path,
    guide,
    ball_radius_m: radius,
    r_e_m: rollingRadius(guide, radius),
    k,
    c0: lane.c0,
    tau_s: Number.isFinite(lane.tau_s) ? lane.tau_s : null,
    slow_spots: lane.spots,
    a_clear_m_s2: acceleration(clear, 0, 0, 1),
    length_m: path.length_m,
    centre_line: stops.map((s) => ({ s_m: metre(s), ...place(camera, path.at(s).point) })),
    ticks:
      ticks === undefined || guide.kind === 'none' || guide.kind === 'rods'
        ? []
        : Array.from({ length: Math.round((ticks.to_m - ticks.from_m) / ticks.every_m) + 1 }, (_, i) => {
            const s_m = metre(ticks.from_m + i * ticks.every_m)
            const { point, tangent, up } = path.at(s_m)
            const [across, height] = profile(guide, radius)[1]!
            const onTape = along(along(point, acrossOf(tangent, up), across), up, height)
            return { s_m, tape: place(camera, onTape), centre: place(camera, point) }
          }),
  }
}
