import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { giveBuffer, holdBuffer, releaseBuffer, takeBuffer } from '../../../workers/decode/buffer-pool.ts'

beforeEach(() => void vi.useFakeTimers())
afterEach(() => {
  vi.runAllTimers()
  vi.useRealTimers()
})

test('memory given back is used again, but not in the same turn', () => {
  const buffer = takeBuffer(1000)
  giveBuffer(buffer)
  expect(takeBuffer(1000)).not.toBe(buffer)
  vi.advanceTimersByTime(1)
  expect(takeBuffer(1000)).toBe(buffer)
})

test('memory that is held is used again only after the last hold on it ends', () => {
  const buffer = takeBuffer(1001)
  holdBuffer(buffer)
  holdBuffer(buffer)
  giveBuffer(buffer)
  releaseBuffer(buffer)
  vi.advanceTimersByTime(1)
  expect(takeBuffer(1001)).not.toBe(buffer)
  releaseBuffer(buffer)
  vi.advanceTimersByTime(1)
  expect(takeBuffer(1001)).toBe(buffer)
})

test('pictures of another size make room for those that are asked for', () => {
  const [small, other] = [takeBuffer(600), takeBuffer(600)]
  giveBuffer(small)
  giveBuffer(other)
  vi.advanceTimersByTime(1)
  takeBuffer(601)
  expect([small, other]).not.toContain(takeBuffer(600))
})

test('memory that nobody takes for long is given up', () => {
  const buffer = takeBuffer(1002)
  giveBuffer(buffer)
  vi.advanceTimersByTime(60_000)
  expect(takeBuffer(1002)).not.toBe(buffer)
})

test('memory from elsewhere is left alone', () => {
  const foreign = new ArrayBuffer(1003)
  giveBuffer(foreign)
  vi.advanceTimersByTime(1)
  expect(takeBuffer(1003)).not.toBe(foreign)
})
