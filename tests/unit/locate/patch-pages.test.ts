import { expect, test } from 'vitest'
import { PAGE_BYTES, PageCutter } from '../../../workers/locate/page-pool.ts'
import { PatchPages } from '../../../workers/locate/patch-pages.ts'

test('pieces of a page never overlap, and a piece larger than a page gets its own', () => {
  const cutter = new PageCutter(false)
  const sizes = [PAGE_BYTES / 2, PAGE_BYTES / 2, 3, PAGE_BYTES - 2, 2 * PAGE_BYTES + 5]
  const pieces = sizes.map((cells, i) => {
    const { data, start } = cutter.cut(cells)
    data.fill(i + 1, start, start + cells)
    return { data, start, cells }
  })
  pieces.forEach(({ data, start, cells }, i) => {
    expect(data.subarray(start, start + cells).every((value) => value === i + 1)).toBe(true)
  })
  expect(cutter.bytes).toBe(3 * PAGE_BYTES + 2 * PAGE_BYTES + 5)
  cutter.release()
  expect(cutter.bytes).toBe(0)
})

test('memory given back serves the next search instead of new memory', () => {
  const first = new PageCutter(false)
  const page = first.cut(10).data.buffer
  first.release()
  expect(new PageCutter(true).cut(10).data.buffer).toBe(page)
})

test('windows keep their pixels when the frames before them are dropped', () => {
  const pages = new PatchPages(4, true)
  for (let frame = 0; frame < 6; frame++) {
    pages.nextFrame()
    const { data, start } = pages.claim(10 * frame, 10 * frame + 5)
    data.fill(1000 + frame, start, start + 20)
  }
  pages.dropBefore(4)
  expect(pages.window(0, 40)).toMatchObject({ from: 40, to: 45 })
  expect(pages.window(0, 39)).toBeUndefined()
  const { data, base } = pages.window(1, 52)!
  expect([...data.subarray(base + 50 * 4, base + 55 * 4)]).toEqual(Array.from({ length: 20 }, () => 1005))
  expect(pages.windows(2)).toEqual([])
})
