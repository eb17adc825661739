import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { toEightBits, rgbaOf } from '../../../workers/decode/display-frame.ts'
import { FrameCache } from '../../../workers/decode/frame-cache.ts'
import { buildFrameIndex, cutIndex, frameAtTime } from '../../../workers/decode/frame-index.ts'
import { clipRect, copyPatch, meanOf } from '../../../workers/decode/luma-patch.ts'
import { lumaOf, packedLayout, unknownColor, type Planes } from '../../../workers/decode/planes.ts'
import { codedRect, displayedSize, toCoded, toDisplayed } from '../../../workers/decode/turn.ts'
import {
  isComplaint,
  parseFramecrc,
  parseShowinfo,
  parseTimeBase,
  parseVideoStream,
} from '../../../workers/decode/ffmpeg-log.ts'

describe('the frame index', () => {
  // Decode order I P B B, shown I B B P; the first packet ends at zero and is never shown.
  const packets = [
    { timestamp: -0.1, duration: 0.1, key: true },
    { timestamp: 0, duration: 0.1, key: true },
    { timestamp: 0.3, duration: 0.1, key: false },
    { timestamp: 0.1, duration: 0.1, key: false },
    { timestamp: 0.2, duration: 0.1, key: false },
  ]

  test('numbers frames in shown order and leaves out what an edit list hides', () => {
    const index = buildFrameIndex(packets, 600)
    expect([...index.ticks]).toEqual([0, 60, 120, 180])
    expect([...index.packetOfFrame]).toEqual([1, 3, 4, 2])
    expect([...index.frameOfPacket]).toEqual([-1, 0, 3, 1, 2])
  })

  test('a packet whose time no decoder could obey is decoded but not shown, and counted', () => {
    const steady = Array.from({ length: 30 }, (_, i) => ({ timestamp: i / 30, duration: 1 / 30, key: i === 0 }))
    const index = buildFrameIndex([{ timestamp: 27.392, duration: 1 / 30, key: true }, ...steady.slice(1)], 1000)
    expect(index.contradicted).toBe(1)
    expect(index.frames).toBe(29)
    expect(index.frameOfPacket[0]).toBe(-1)
    expect(index.frameOfPacket[1]).toBe(0)
    expect(buildFrameIndex(steady, 1000).contradicted).toBe(0)
  })

  test('cut off after three packets, keeps the frames whose data is there', () => {
    const index = cutIndex(buildFrameIndex(packets, 600), 3)
    expect([...index.ticks]).toEqual([0, 180])
    expect([...index.frameOfPacket]).toEqual([-1, 0, 1])
  })

  test('finds every frame by its time, also by one that is off by a fifth of an interval, and none between frames', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 2, maxLength: 60 }),
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        (steps, off) => {
          let tick = 0
          const ticks = steps.map((step) => (tick += step))
          const index = buildFrameIndex(
            ticks.map((t) => ({ timestamp: t / 90, duration: 0.001, key: true })),
            90,
          )
          const shortest = Math.min(...steps.slice(1))
          ticks.forEach((t, frame) => expect(frameAtTime(index, (t + off * shortest) / 90)).toBe(frame))
          expect(frameAtTime(index, ((ticks[0] ?? 0) + (ticks[1] ?? 0)) / 180)).toBe(-1)
        },
      ),
      { seed: 3, numRuns: 100 },
    )
  })
})

test('the cache never exceeds its budget and lets go of what lies farthest', () => {
  const cache = new FrameCache<{ buffer: ArrayBuffer }>(1000)
  cache.centre(10)
  for (let frame = 0; frame < 30; frame++) cache.put(frame, { buffer: new ArrayBuffer(100) })
  expect(cache.bytes).toBeLessThanOrEqual(1000)
  for (let frame = 6; frame <= 14; frame++) expect(cache.has(frame)).toBe(true)
  cache.put(10, { buffer: new ArrayBuffer(5000) })
  expect(cache.size).toBe(1)
  expect(cache.has(10)).toBe(true)
})

describe('planes', () => {
  test('lie without gaps, colour rounded up for odd sizes', () => {
    expect(packedLayout('I420', 5, 3)).toEqual({
      layout: [
        { offset: 0, stride: 5 },
        { offset: 15, stride: 3 },
        { offset: 21, stride: 3 },
      ],
      bytes: 27,
    })
    expect(packedLayout('I422P10', 4, 2).bytes).toBe(32)
    expect(packedLayout('NV12', 4, 4)).toEqual({
      layout: [
        { offset: 0, stride: 4 },
        { offset: 16, stride: 4 },
      ],
      bytes: 24,
    })
  })

  const made = (format: Planes['format'], width: number, height: number, fill: (bytes: Uint8Array) => void): Planes => {
    const { layout, bytes } = packedLayout(format, width, height)
    const buffer = new ArrayBuffer(bytes)
    fill(new Uint8Array(buffer))
    return { format, width, height, buffer, layout, color: unknownColor, doubtful: false }
  }

  test('brightness is a view of the first plane, and 0.299 R + 0.587 G + 0.114 B of packed colour', () => {
    const gray = made('I420', 4, 2, (bytes) => bytes.set([1, 2, 3, 4, 5, 6, 7, 8]))
    const luma = lumaOf(gray)
    expect(luma.data.buffer).toBe(gray.buffer)
    expect([...luma.data]).toEqual([1, 2, 3, 4, 5, 6, 7, 8])
    const bgra = made('BGRA', 1, 1, (bytes) => bytes.set([10, 20, 200, 255]))
    expect([...lumaOf(bgra).data]).toEqual([Math.round(0.299 * 200 + 0.587 * 20 + 0.114 * 10)])
  })

  test('ten bits are shown as eight but measured as ten', () => {
    const deep = made('I420P10', 2, 2, (bytes) => new Uint16Array(bytes.buffer).set([1023, 512, 4, 3, 512, 512]))
    expect([...lumaOf(deep).data]).toEqual([1023, 512, 4, 3])
    expect(lumaOf(deep).bitDepth).toBe(10)
    expect([...lumaOf(toEightBits(deep)).data]).toEqual([255, 128, 1, 0])
  })

  test('video black and white become 0 and 255 on the screen', () => {
    const video = made('I420', 2, 2, (bytes) => bytes.set([16, 235, 16, 235, 128, 128]))
    expect([...rgbaOf(video)].filter((_, i) => i % 4 === 1)).toEqual([0, 255, 0, 255])
  })

  test('a patch is a copy inside the picture, and its mean a share of full scale', () => {
    const luma = lumaOf(made('GRAY8', 4, 3, (bytes) => bytes.set([0, 0, 0, 0, 0, 51, 102, 0, 0, 153, 204, 0])))
    const rect = clipRect({ x: 0.4, y: 1, width: 2.2, height: 9 }, 4, 3)
    expect(rect).toEqual({ x: 0, y: 1, width: 3, height: 2 })
    expect(clipRect({ x: 7, y: 0, width: 2, height: 2 }, 4, 3)).toBeNull()
    const patch = copyPatch(luma, { x: 1, y: 1, width: 2, height: 2 })
    expect([...patch.data]).toEqual([51, 102, 153, 204])
    expect(meanOf(luma, { x: 1, y: 1, width: 2, height: 2 })).toBeCloseTo(0.5, 12)
  })
})

test('turning to the displayed picture and back changes nothing, for every turn and mirror', () => {
  const turns = fc.record({
    width: fc.integer({ min: 1, max: 4000 }),
    height: fc.integer({ min: 1, max: 4000 }),
    rotation_deg: fc.constantFrom(0 as const, 90 as const, 180 as const, 270 as const),
    mirrored: fc.boolean(),
  })
  const places = fc.record({
    x: fc.double({ min: 0, max: 1, noNaN: true }),
    y: fc.double({ min: 0, max: 1, noNaN: true }),
  })
  fc.assert(
    fc.property(turns, places, (turn, place) => {
      const coded = { x: place.x * turn.width, y: place.y * turn.height }
      const shown = toDisplayed(turn, coded)
      const size = displayedSize(turn)
      expect(shown.x).toBeGreaterThanOrEqual(-1e-9)
      expect(shown.x).toBeLessThanOrEqual(size.width + 1e-9)
      expect(shown.y).toBeLessThanOrEqual(size.height + 1e-9)
      const back = toCoded(turn, shown)
      expect(back.x).toBeCloseTo(coded.x, 6)
      expect(back.y).toBeCloseTo(coded.y, 6)
      expect(codedRect(turn, { x: 0, y: 0, ...size })).toEqual({ x: 0, y: 0, width: turn.width, height: turn.height })
    }),
    { seed: 5, numRuns: 200 },
  )
})

test('a quarter turn clockwise takes the left edge to the top', () => {
  const turn = { width: 100, height: 40, rotation_deg: 90, mirrored: false } as const
  expect(toDisplayed(turn, { x: 0, y: 40 })).toEqual({ x: 0, y: 0 })
  expect(toDisplayed(turn, { x: 0, y: 0 })).toEqual({ x: 40, y: 0 })
})

describe('the log of ffmpeg', () => {
  test('names each picture before it is written', () => {
    const line =
      '[Parsed_showinfo_1 @ 0x5564] n:  13 pts:   6656 pts_time:0.433333 pos:    12250 fmt:yuv420p10le sar:0/1 s:320x180 i:P iskey:0 type:B '
    expect(parseShowinfo(line)).toEqual({ pts: 6656, pixelFormat: 'yuv420p10le', width: 320, height: 180, key: false })
    expect(parseTimeBase('[Parsed_showinfo_1 @ 0x5564] config in time_base: 1/15360, frame_rate: 30/1')).toEqual([
      1, 15360,
    ])
  })

  test('describes the stream', () => {
    const line =
      '  Stream #0:0(und): Video: mjpeg (Baseline) (MJPG / 0x47504A4D), yuvj420p(pc, bt470bg/unknown/unknown), 320x180 [SAR 1:1 DAR 16:9], 1043 kb/s, 30 fps, 30 tbr, 30 tbn'
    expect(parseVideoStream(line)).toMatchObject({
      codec: 'mjpeg',
      pixelFormat: 'yuvj420p',
      width: 320,
      height: 180,
      rate_hz: 30,
      color: { matrix: 'bt470bg', fullRange: true },
    })
    expect(parseVideoStream('  Stream #0:1: Audio: pcm_s16le, 44100 Hz')).toBeNull()
  })

  test('lists packets, key frames and absent times', () => {
    const listed = parseFramecrc('#tb 0: 1/30\n0, 0, 0, 1, 500, 0xaa\n0, 1, -9223372036854775808, 1, 40, 0xbb, F=0x0\n')
    expect(listed?.timeBase).toEqual([1, 30])
    expect(listed?.packets.map(({ pts, key }) => [pts, key])).toEqual([
      [0, true],
      [NaN, false],
    ])
  })

  test('tells complaints of a decoder from chatter', () => {
    expect(isComplaint('[h264 @ 0x55640b9da980] error while decoding MB 17 5, bytestream -7')).toBe(true)
    expect(isComplaint('[h264 @ 0x55640b9da980] concealing 172 DC, 172 AC, 172 MV errors in B frame')).toBe(true)
    expect(isComplaint('[mjpeg @ 0x1] overread 8')).toBe(true)
    // After this one the picture handed out is an earlier one.
    expect(isComplaint('[mjpeg @ 0x1] decode_sos: index(3) out of components')).toBe(true)
    expect(isComplaint('[Parsed_showinfo_0 @ 0x1] n: 1 pts: 2')).toBe(false)
    expect(isComplaint('Press [q] to stop, [?] for help')).toBe(false)
  })
})
