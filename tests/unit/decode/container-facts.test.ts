import { describe, expect, test } from 'vitest'
import { readGif } from '../../../workers/decode/gif.ts'
import { intervalStatistics, meanRate_hz } from '../../../workers/decode/intervals.ts'
import { contentHash, quickKey } from '../../../workers/decode/quick-key.ts'
import { filmingRate_hz } from '../../../workers/decode/rate-tag.ts'
import { sniff } from '../../../workers/decode/sniff.ts'
import { stillSequence } from '../../../workers/decode/still-sequence.ts'

const bytes = (text: string): Uint8Array => Uint8Array.from(text, (character) => character.charCodeAt(0))

describe('the filming-rate tag', () => {
  test('is read as text and as a big-endian float32', () => {
    expect(filmingRate_hz('240')).toBe(240)
    expect(filmingRate_hz('239.76')).toBeCloseTo(239.76, 9)
    const phone = new Uint8Array(4)
    new DataView(phone.buffer).setFloat32(0, 240, false)
    expect(filmingRate_hz(phone)).toBe(240)
    // 240 as float32 is 0x43700000. Source: IEEE 754-2019, binary32.
    expect(filmingRate_hz(Uint8Array.of(0x43, 0x70, 0, 0))).toBe(240)
  })

  test('states nothing when it is absent or absurd', () => {
    for (const value of [undefined, null, '', 'fast', '-30', '0', Uint8Array.of(0xff, 0xff, 0xff, 0xff), {}]) {
      expect(filmingRate_hz(value)).toBeNull()
    }
  })
})

describe('intervals between frames', () => {
  test('a steady clip has one interval and its rate', () => {
    const ticks = Float64Array.from({ length: 241 }, (_, i) => i * 512)
    const statistics = intervalStatistics(ticks, 15360)
    expect(statistics).toMatchObject({ distinct: 1, steady: true, histogram: [{ ticks: 512, count: 240 }] })
    expect(statistics.mean_s).toBeCloseTo(1 / 30, 12)
    expect(meanRate_hz(ticks, 15360)).toBeCloseTo(30, 12)
  })

  test('one dropped frame is seen in the longest interval and breaks the steadiness', () => {
    const statistics = intervalStatistics(Float64Array.of(0, 10, 20, 40, 50), 300)
    expect(statistics.max_s).toBeCloseTo(2 * statistics.median_s, 12)
    expect(statistics.steady).toBe(false)
    expect(statistics.histogram).toEqual([
      { ticks: 10, count: 3 },
      { ticks: 20, count: 1 },
    ])
  })

  test('rounding to whole milliseconds stays steady', () => {
    const ticks = Float64Array.from({ length: 100 }, (_, i) => Math.round((i * 1000) / 30))
    expect(intervalStatistics(ticks, 1000).steady).toBe(true)
    expect(intervalStatistics(ticks, 1000).distinct).toBe(2)
  })

  test('one frame, or stills without time, claim no rate', () => {
    expect(meanRate_hz(Float64Array.of(5), 30)).toBeNull()
    expect(meanRate_hz(Float64Array.of(0, 1, 2), 0)).toBeNull()
    expect(intervalStatistics(Float64Array.of(5), 30).histogram).toEqual([])
  })
})

describe('the first bytes of a file', () => {
  test.each([
    ['\0\0\0\x20ftypisom', 'MP4'],
    ['\0\0\0\x14ftypqt  ', 'QuickTime'],
    ['\0\0\0\x08wide\0\0', 'QuickTime'],
    ['RIFF\x10\0\0\0AVI LIST', 'AVI'],
    ['\x1a\x45\xdf\xa3\x9fB\x86\x81\x01B\x82\x84webm', 'WebM'],
    ['\x1a\x45\xdf\xa3\xa3B\x86\x81\x01B\x82\x88matroska', 'Matroska'],
  ])('%j are %s', (head, container) => {
    expect(sniff(bytes(head))).toEqual({ kind: 'container', container })
  })

  test('strangers are named, and only nameless bytes are worth a try', () => {
    expect(sniff(bytes('Dear clockmaker, the ball'))).toMatchObject({ looksLike: 'text', worthTrying: false })
    expect(sniff(bytes('%PDF-1.7\n\x80\x81'))).toMatchObject({ looksLike: 'a PDF', worthTrying: false })
    expect(sniff(new Uint8Array(64))).toMatchObject({ worthTrying: false })
    expect(sniff(Uint8Array.of(0x91, 0x02, 0xe3, 0x80, 0x07))).toMatchObject({ kind: 'other', worthTrying: true })
    expect(sniff(bytes('\x89PNG\r\n\x1a\n'))).toEqual({ kind: 'still', mime: 'image/png' })
  })
})

describe('keys of a file', () => {
  test('the quick key follows size and both ends', async () => {
    const base = new Uint8Array(300_000).fill(7)
    const key = await quickKey([new Blob([base])])
    expect(await quickKey([new Blob([base])])).toBe(key)
    for (const [at, same] of [
      [10, false],
      [299_990, false],
      [150_000, true],
    ] as const) {
      const changed = base.slice()
      changed[at] = 8
      expect((await quickKey([new Blob([changed])])) === key).toBe(same)
    }
    expect(await quickKey([new Blob([base.subarray(1)])])).not.toBe(key)
  })

  test('the content hash is SHA-256, over several files in order', async () => {
    const fractions: number[] = []
    const hash = await contentHash([new Blob(['a']), new Blob(['bc'])], new AbortController().signal, (f) =>
      fractions.push(f),
    )
    // Source: FIPS 180-4 example, SHA-256("abc").
    expect(hash).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
    expect(fractions.at(-1)).toBe(1)
  })

  test('hashing stops when it is cancelled', async () => {
    const signal = AbortSignal.abort(new Error('enough'))
    await expect(contentHash([new Blob(['abc'])], signal, () => undefined)).rejects.toThrow('enough')
  })
})

describe('numbered stills', () => {
  const files = (...names: string[]): File[] => names.map((name) => new File(['x'], name))

  test('are ordered by number, not by name, and gaps keep their place', () => {
    const order = stillSequence(files('roll_10.png', 'roll_8.png', 'roll_11.png', 'notes.png'))
    expect(order).toMatchObject({ kind: 'sequence', first: 8, missing: [9], ignored: ['notes.png'] })
    if (order.kind === 'sequence') {
      expect(order.files.map((file) => file?.name ?? null)).toEqual(['roll_8.png', null, 'roll_10.png', 'roll_11.png'])
    }
  })

  test('without numbers, with the same number twice, or with wild numbers there is no order', () => {
    expect(stillSequence(files('left.png', 'right.png')).kind).toBe('unnumbered')
    expect(stillSequence(files('a_1.png', 'a_01.png')).kind).toBe('unnumbered')
    expect(stillSequence(files('t_1716.png', 't_999999.png')).kind).toBe('unnumbered')
  })
})

test('a GIF gives the delay of each frame, and a cut-off one says so', () => {
  const frame = (delay: number): number[] => [
    0x21,
    0xf9,
    4,
    0,
    delay,
    0,
    0,
    0,
    0x2c,
    0,
    0,
    0,
    0,
    1,
    0,
    1,
    0,
    0,
    2,
    1,
    0,
    0,
  ]
  const head = [...bytes('GIF89a'), 2, 0, 3, 0, 0, 0, 0]
  const whole = Uint8Array.from([...head, ...frame(4), ...frame(0), ...frame(7), 0x3b])
  expect(readGif(whole)).toEqual({ width: 2, height: 3, delays_cs: [4, 10, 7], complete: true })
  expect(readGif(whole.subarray(0, whole.length - 4))).toMatchObject({ delays_cs: [4, 10], complete: false })
  expect(readGif(bytes('not a gif at all'))).toBeNull()
})
