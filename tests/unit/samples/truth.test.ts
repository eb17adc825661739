import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { describe, expect, test } from 'vitest'
import { demoScenes } from '../../../samples/demo.ts'
import { equivalentTruth, fullViewFrames } from '../../../samples/equivalent.ts'
import { buildCamera } from '../../../samples/generator/camera.ts'
import { buildSet, play } from '../../../samples/generator/clip.ts'
import type { Scene } from '../../../samples/generator/scene.ts'
import { recordTruth } from '../../../samples/generator/truth-record.ts'
import { standardGravity } from '../../../samples/generator/motion.ts'
import { testScenes } from '../../../samples/scenes.ts'
import { loadTruth, readTruth, type Truth } from '../../../samples/truth.ts'

const named = (name: string): Scene => testScenes.find((scene) => scene.name === name)!

/** The scene at a size that renders in moments. */
function small(scene: Scene, frames: number, start_s = 0, width = 160): Scene {
  const shrink = width / scene.image.width
  return {
    ...scene,
    image: { width, height: Math.round((scene.image.height * shrink) / 2) * 2 },
    camera: { ...scene.camera, focal_px: scene.camera.focal_px * shrink },
    time: { ...scene.time, frames },
    balls: scene.balls.map((ball) => ({ ...ball, release_s: ball.release_s - start_s })),
  }
}

interface Film {
  readonly picture: string
  readonly frames: readonly Uint8Array[]
  readonly truth: Truth
  readonly written: unknown
}

const film = (scene: Scene): Promise<Film> => shown(buildSet(scene))

async function shown(set: Parameters<typeof play>[0]): Promise<Film> {
  const hash = createHash('sha256')
  const frames: Uint8Array[] = []
  const written = await play(set, (frame) => {
    hash.update(frame)
    frames.push(frame.slice())
    return Promise.resolve()
  })
  return { picture: hash.digest('hex'), frames, truth: readTruth(JSON.parse(JSON.stringify(written))), written }
}

describe('rendering', () => {
  test('the same seed gives the same pictures and the same truth, another seed others', async () => {
    const scene = small(named('seven-balls'), 4, 1.5)
    const [once, again, other] = [await film(scene), await film(scene), await film({ ...scene, seed: scene.seed + 1 })]
    expect(again.picture).toBe(once.picture)
    expect(again.written).toEqual(once.written)
    expect(other.picture).not.toBe(once.picture)
  })

  test('the ball is where the truth says: its darkness is centred on the outline', async () => {
    const scene = small(
      { ...named('clean'), sensor: { ...named('clean').sensor, full_well: 1e9, read_noise: 0 } },
      1,
      0.9,
      480,
    )
    const flat = {
      ...scene,
      balls: scene.balls.map((ball) => ({ ...ball, surface: { kind: 'matt', colour: [0, 0, 0], gloss: 0 } as const })),
    }
    const set = buildSet(flat)
    const { frames, truth } = await shown(set)
    const empty = await shown({ ...set, passages: [] })
    const [track] = truth.tracks
    const { width } = truth.image
    const [ox, oy, r] = [track!.ox[0]!, track!.oy[0]!, track!.r[0]!]
    // Rows through the upper half of the ball, above the groove's lip; the shadow falls to the right and below.
    let weight = 0
    let along = 0
    for (let y = Math.ceil(oy - 0.8 * r); y < oy - 0.1 * r; y++) {
      for (let x = Math.floor(ox - r - 2); x <= ox + r + 2; x++) {
        const change = empty.frames[0]![y * width + x]! - frames[0]![y * width + x]!
        if (change < 40) continue
        weight += change
        along += change * (x + 0.5)
      }
    }
    expect(weight).toBeGreaterThan(1000)
    expect(Math.abs(along / weight - ox)).toBeLessThan(0.05)
  })

  test('posts in front hide the ball and the truth says how much', async () => {
    const { truth } = await film(small(named('posts'), 140, 0.75))
    const [track] = truth.tracks
    expect(track!.state).toContain('hidden')
    expect(track!.state).toContain('partly')
    track!.post.forEach((post, i) => expect(post + track!.seen[i]!).toBeLessThanOrEqual(1.03))
  })

  test('rows that follow one another along the lane show the ball later where they come later', async () => {
    const scene = small(named('rolling-shutter'), 40)
    const { truth } = await film(scene)
    const [track] = truth.tracks
    track!.t.forEach((t, i) => {
      const start = track!.frame[i]! / 120 + scene.time.exposure_s / 2
      expect(t - start).toBeCloseTo(track!.x[i]! * scene.time.line_time_s, 6)
    })
  })

  test('invented frames lie between their neighbours and have no truth', async () => {
    const { frames, truth } = await film(small(named('invented-frames'), 9, 0.8))
    expect(frames).toHaveLength(9)
    expect(truth.tracks[0]!.frame).toEqual([0, 4, 8])
    const [a, b, c] = [frames[0]!, frames[2]!, frames[4]!]
    b.forEach((value, i) => expect(Math.abs(value - (a[i]! + c[i]!) / 2)).toBeLessThanOrEqual(1))
  })
})

describe('truth files', () => {
  test('reads the wide form of the independent renderer', async () => {
    const truth = await loadTruth('tests/data/clips/b_three_as_cut.truth.json')
    expect(truth.tracks.map(({ ball }) => ball)).toEqual(['A1', 'B1', 'C1'])
    expect(truth.capture_fps).toBe(240)
    const b = truth.tracks[1]!
    expect([b.frame[3], b.t[3], b.x[3]]).toEqual([3, 0.013, 131.3558])
    expect(truth.bars[0]!.ends_px[1]).toEqual([952.2832, 631.4192])
  })

  test('refuses what is not a truth', () => {
    expect(() => readTruth({ version: 3 })).toThrow()
    expect(() => readTruth(null)).toThrow()
  })

  test('every demo clip has its truth, which follows the scene it was made from', async () => {
    for (const scene of demoScenes) {
      const text = await readFile(`samples/clips/${scene.name}.truth.json`, 'utf8')
      const truth = readTruth(JSON.parse(text))
      expect(truth.frames).toBe(scene.time.frames)
      expect(truth.tracks.map(({ ball }) => ball).sort()).toEqual(scene.balls.map(({ id }) => id).sort())
    }
  })
})

describe('what is drawn beside the balls', () => {
  const still = (name: string): Truth => {
    const scene = named(name)
    return readTruth(JSON.parse(JSON.stringify(recordTruth(scene, buildCamera(scene.camera, scene.image)).finish())))
  }
  /** Greatest distance of points from the line through the first and the last [px]. */
  const bow = (points: readonly (readonly [number, number])[]): number => {
    const [ax, ay] = points[0]!
    const [bx, by] = points[points.length - 1]!
    const size = Math.hypot(bx - ax, by - ay)
    return Math.max(...points.map(([x, y]) => Math.abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / size))
  }

  test('straight edges stay straight through a pinhole and bend through a lens with k1', () => {
    for (const { px } of still('yaw-5').straight_edges) expect(bow(px)).toBeLessThan(2e-4)
    const bent = still('lens-k1').straight_edges.find(({ name }) => name.startsWith('upper'))!
    expect(bow(bent.px)).toBeGreaterThan(1)
  })

  test('a bar behind the lane looks shorter by D / (D + d)', () => {
    const [near, far] = [still('square-on'), still('bar-behind-40')].map(({ bars }) => {
      const [[ax, ay], [bx, by]] = bars[0]!.ends_px
      return Math.hypot(bx - ax, by - ay)
    })
    // 1.1 m from the camera along its axis, a little less for a bar below it: 0.04 / 1.14 of the length is lost.
    expect(1 - far! / near!).toBeCloseTo(0.04 / 1.14, 2)
  })

  test('a vertical string leans in the picture of a camera that looks down', () => {
    const leans = still('plumb-pitch-8').plumb_lines.map(({ ends_px: [[ax, ay], [bx, by]] }) => {
      expect(Math.hypot(bx - ax, by - ay)).toBeGreaterThan(400)
      return (Math.atan2(bx - ax, by - ay) * 180) / Math.PI
    })
    expect(Math.abs(leans[0]! - leans[1]!)).toBeGreaterThan(0.5)
  })

  test('ticks stand at equal arc length along a curved lane and unequal distance in its picture', () => {
    const { ticks } = still('curved-ticks').lanes[0]!
    expect(ticks).toHaveLength(15)
    const gaps = ticks.slice(1).map(({ centre_px: [x, y] }, i) => {
      const [px, py] = ticks[i]!.centre_px
      return Math.hypot(x - px, y - py)
    })
    expect(Math.max(...gaps) / Math.min(...gaps)).toBeGreaterThan(1.03)
  })
})

describe('equivalent truth', () => {
  test('on a lane without slow spots and drag it is the lane itself', async () => {
    const scene = small(named('square-on'), 400)
    const { truth } = await film({
      ...scene,
      image: { width: 96, height: 48 },
      camera: { ...scene.camera, focal_px: 162 },
    })
    const [track] = truth.tracks
    const found = equivalentTruth(truth, 'A', [{ ball: 'A1', frames: fullViewFrames(track!, 4) }])
    expect(found.c_rr).toBeCloseTo(0.0072, 6)
    const slope = (1.8 * Math.PI) / 180
    expect(found.a_m_s2).toBeCloseTo((standardGravity * (Math.sin(slope) - 0.0072 * Math.cos(slope))) / 1.8, 5)
    const first = track!.frame.indexOf(fullViewFrames(track!, 4)[0]!)
    expect(found.runs[0]!.v_in_m_s).toBeCloseTo(track!.v[first]!, 5)
  })

  test('runs that share one acceleration are fitted together', async () => {
    const truth = await loadTruth('samples/clips/lanes-as-cut.truth.json')
    const runs = truth.tracks
      .filter(({ lane }) => lane === 'A')
      .map((track) => ({ ball: track.ball, frames: fullViewFrames(track, 4) }))
    const joint = equivalentTruth(truth, 'A', runs)
    const single = runs.map((run) => equivalentTruth(truth, 'A', [run]).c_rr)
    expect(joint.c_rr).toBeGreaterThan(Math.min(...single))
    expect(joint.c_rr).toBeLessThan(Math.max(...single))
    expect(joint.runs).toHaveLength(5)
  })

  test('the demo tells its story: lane A clearly better, lane B undecided, lane C short of its slope as cut', async () => {
    const coefficients = async (clip: string, lane: string): Promise<{ mean: number; spread: number; tan: number }> => {
      const truth = await loadTruth(`samples/clips/${clip}.truth.json`)
      const found = truth.tracks
        .filter((track) => track.lane === lane)
        .map((track) => equivalentTruth(truth, lane, [{ ball: track.ball, frames: fullViewFrames(track, 4) }]))
      expect(found).toHaveLength(5)
      const mean = found.reduce((sum, { c_rr }) => sum + c_rr, 0) / 5
      const spread = Math.sqrt(found.reduce((sum, { c_rr }) => sum + (c_rr - mean) ** 2, 0) / 4)
      return { mean, spread, tan: Math.tan(found[0]!.slope_rad) }
    }
    const welch = async (lane: string): Promise<number> => {
      const cut = await coefficients('lanes-as-cut', lane)
      const sanded = await coefficients('lanes-sanded', lane)
      return (cut.mean - sanded.mean) / Math.sqrt((cut.spread ** 2 + sanded.spread ** 2) / 5)
    }
    expect(await welch('A')).toBeGreaterThan(10)
    // Student t for 8 degrees of freedom, 97.5 %: 2.3060.
    expect(await welch('B')).toBeGreaterThan(1.5)
    expect(await welch('B')).toBeLessThan(2.306)
    const c = await coefficients('lanes-as-cut', 'C')
    // One-sided tolerance factor, n = 5, 99 % of runs with 95 % confidence: 5.741 (CMH-17-1G, k_A).
    expect(c.mean + 5.741 * c.spread).toBeGreaterThan(c.tan)
    const after = await coefficients('lanes-sanded', 'C')
    expect(after.mean + 5.741 * after.spread).toBeLessThan(after.tan)
  })

  test('refuses unknown lanes and balls and runs that are too short', async () => {
    const truth = await loadTruth('tests/data/clips/a_single_v.truth.json')
    expect(() => equivalentTruth(truth, 'Z', [])).toThrow(/no lane Z/)
    expect(() => equivalentTruth(truth, 'A', [{ ball: 'A9', frames: [1, 2, 3] }])).toThrow(/no ball A9/)
    expect(() => equivalentTruth(truth, 'A', [{ ball: 'A1', frames: [300, 301] }])).toThrow(/2 frames/)
  })
})
