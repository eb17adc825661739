import { describe, expect, test } from 'vitest'
import { namesTooMany } from '../../../workers/decode/sample-tables.ts'

const word = (value: number): number[] => [24, 16, 8, 0].map((shift) => (value >>> shift) & 255)
const ascii = (text: string): number[] => [...text].map((character) => character.charCodeAt(0))
const box = (type: string, ...contents: number[][]): number[] => {
  const inside = contents.flat()
  return [...word(8 + inside.length), ...ascii(type), ...inside]
}
const table = (type: string, ...numbers: number[]): number[] => box(type, ...[0, ...numbers].map(word))

interface Tables {
  readonly stts: number
  readonly ctts: number | null
  readonly stsc: number
  readonly stsz: number | null
}
const sound: Tables = { stts: 30, ctts: 30, stsc: 30, stsz: 30 }

/** An MP4 of 30 frames with one entry in each of its tables; `media` is `vmhd` for pictures, `smhd` for sound. */
function mp4(tables: Partial<Tables>, media = 'vmhd'): Blob {
  const { stts, ctts, stsc, stsz } = { ...sound, ...tables }
  const stbl = box(
    'stbl',
    table('stts', 1, stts, 512),
    ctts === null ? [] : table('ctts', 1, ctts, 0),
    table('stsc', 1, 1, stsc, 1),
    stsz === null ? [] : table('stsz', 0, stsz, ...new Array<number>(30).fill(500)),
  )
  const trak = box('trak', box('tkhd'), box('mdia', box('mdhd'), box('minf', box(media), stbl)))
  return new Blob([Uint8Array.from([...box('ftyp', ascii('isom')), ...box('free'), ...box('moov', box('mvhd'), trak)])])
}

describe('tables of an MP4 that name too many frames', () => {
  test('sound ones, and ones that differ a little, pass', async () => {
    expect(await namesTooMany(mp4({}))).toBe(false)
    expect(await namesTooMany(mp4({ stts: 31, ctts: 900, stsc: 60 }))).toBe(false)
    expect(await namesTooMany(mp4({ stts: 5_000_000, stsz: 5_000_000 }))).toBe(false)
  })

  test.each([
    ['times', { stts: 0x5000001e }],
    ['times of frames that are shown as they are decoded', { stts: 0x5000001e, ctts: null }],
    ['times, the sizes swallowed by the box before', { stts: 0x5000001e, stsz: null }],
    ['differences of times', { ctts: 0xd8000002 }],
    ['samples in a chunk', { stsc: 0xad00001e }],
  ] as const)('a damaged count of %s is noticed', async (_name, tables) => {
    expect(await namesTooMany(mp4(tables))).toBe(true)
  })

  test('the tables of sound are not looked at', async () => {
    expect(await namesTooMany(mp4({ stts: 0x5000001e }, 'smhd'))).toBe(false)
  })

  test('a box of a length that cannot be, a cut-off file and no MP4 at all are left to the reader', async () => {
    const whole = new Uint8Array(await mp4({ stts: 0x5000001e }).arrayBuffer())
    const tables = new TextDecoder('latin1').decode(whole).indexOf('stts')
    for (let length = 0; length < tables; length++) {
      expect(await namesTooMany(new Blob([whole.subarray(0, length)]))).toBe(false)
    }
    expect(await namesTooMany(new Blob([Uint8Array.from([...word(3), ...ascii('ftyp'), ...whole])]))).toBe(false)
    expect(
      await namesTooMany(
        new Blob([Uint8Array.from([...word(1), ...ascii('free'), ...new Array<number>(8).fill(255)])]),
      ),
    ).toBe(false)
  })
})
