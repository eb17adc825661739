import { expect, test } from 'vitest'
import { laneLine } from '../../../workers/locate/lane-line.ts'
import { copyColumns, copyProbes, probeCells, straightColumns } from '../../../workers/locate/straight-columns.ts'
import { layStrip } from '../../../workers/locate/strip.ts'

const size = { storedWidth: 90, storedHeight: 70 }
const plane = Uint8Array.from({ length: 90 * 70 }, (_, i) => (i * 37) % 251)

test.each([
  ['level', [5, 30], [85, 30], 0],
  ['sloping, from right to left', [80, 20], [4, 44], 0],
  ['upright', [40, 3], [44, 66], 0],
  ['along a diagonal that suits neither rows nor columns', [5, 5], [60, 62], 0],
  ['at the edge of the picture and beyond', [-20, 3], [110, 6], 0],
  ['in a picture stored on its side', [20, 5], [24, 85], 90],
] as const)('reads the pixels of a lane %s that its table names', (_, a, b, rotation) => {
  const strip = layStrip(laneLine('A', [a, b]), 9, 7, 6, { ...size, rotation }, 90)
  const straight = straightColumns(strip)
  const named = Array.from(strip.source, (at) => plane[Math.max(0, at)]!)
  const out = new Uint8Array(strip.source.length + 3)
  copyColumns(strip, straight, 0, strip.columns, plane, out, 3)
  expect([...out.subarray(3)]).toEqual(named)
  const rows = [2, 5, 6]
  const probes = new Uint8Array(Math.ceil(strip.columns / 2) * 3)
  const sums = new Float32Array(Math.floor(probes.length / 3 / 4))
  copyProbes(probeCells(strip, 2, rows), plane, probes, 12, sums)
  const wanted = Array.from(probes, (_, i) => named[2 * Math.floor(i / 3) * strip.rows + rows[i % 3]!])
  expect([...probes]).toEqual(wanted)
  sums.forEach((sum, k) => expect(sum).toBe(wanted.slice(12 * k, 12 * k + 12).reduce((x, y) => x! + y!, 0)))
})

test('nearly every column of a lane inside the picture needs no table', () => {
  const strip = layStrip(
    laneLine('A', [
      [12, 30],
      [78, 34],
    ]),
    9,
    7,
    0,
    { ...size, rotation: 0 },
    90,
  )
  expect(straightColumns(strip).first.every((at) => at >= 0)).toBe(true)
})
