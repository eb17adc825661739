import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import type { FromWorker, ToWorker } from '../../../workers/bridge/calls.ts'
import type { DecodeCalls } from '../../../workers/bridge/decode-calls.ts'
import { createDecodeClient, type OpenOutcome } from '../../../workers/bridge/decode-client.ts'

type OpenArgs = DecodeCalls['open']['args']
/** What a thread does when it is asked to open something: answer, say one word and then nothing more, or end. */
type Behaviour = 'answers' | 'falls-silent' | 'ends' | 'never-speaks'

/** A thread that knows `open` and pings. */
class FakeThread extends EventTarget {
  ended = false
  #hangs = false
  constructor(readonly behave: (args: OpenArgs) => Behaviour) {
    super()
  }
  terminate(): void {
    this.ended = true
  }
  postMessage(message: ToWorker): void {
    if (message.kind === 'ping' && !this.#hangs) this.#say({ kind: 'pong', id: message.id })
    if (message.kind !== 'call' || message.method !== 'open') return
    const behaviour = this.behave(message.args as OpenArgs)
    const { id } = message
    if (behaviour !== 'never-speaks') this.#say({ kind: 'progress', id, value: { step: 'reading', fraction: null } })
    this.#hangs = behaviour !== 'answers'
    if (behaviour === 'answers') this.#say({ kind: 'done', id, value: { kind: 'no-frames', sentence: 'answered' } })
    if (behaviour === 'ends') queueMicrotask(() => this.dispatchEvent(new Event('error')))
  }
  #say(message: FromWorker): void {
    queueMicrotask(() => this.dispatchEvent(new MessageEvent('message', { data: message })))
  }
}

/** Opens a file of a size with threads that behave so, and others at the same time; what was asked of them, and the outcome once it is there. */
function opening(size_bytes: number, behave: (args: OpenArgs, asked: number) => Behaviour, ...others_bytes: number[]) {
  const asked: OpenArgs[] = []
  const client = createDecodeClient(
    () =>
      new FakeThread((args) => {
        asked.push(args)
        return behave(args, asked.length)
      }) as unknown as Worker,
  )
  const fileOf = (size: number): File => Object.defineProperty(new File([], 'lane.mkv'), 'size', { value: size })
  const state = { asked, outcome: null as OpenOutcome | null }
  void client.openClip(fileOf(size_bytes)).then((outcome) => (state.outcome = outcome))
  for (const size of others_bytes) void client.openClip(fileOf(size))
  return state
}

const readers = (asked: readonly OpenArgs[]): string[] => asked.map(({ reader }) => reader)

// The clock is the test's own.
beforeEach(() => void vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance'] }))
afterEach(() => void vi.useRealTimers())

describe('a thread that dies while it opens a clip', () => {
  test('by falling silent: the next one takes the other reader, and a small file is answered within 10 s', async () => {
    const state = opening(20_000, ({ reader }) => (reader === 'usual' ? 'falls-silent' : 'answers'))
    await vi.advanceTimersByTimeAsync(10_000)
    expect(readers(state.asked)).toEqual(['usual', 'forgiving'])
    expect(state.outcome).toMatchObject({ kind: 'no-frames', sentence: 'answered' })
  })

  test('by falling silent with either reader: the clip is refused with a sentence that says what to do', async () => {
    const state = opening(20_000, () => 'falls-silent')
    await vi.advanceTimersByTimeAsync(20_000)
    expect(readers(state.asked)).toEqual(['usual', 'forgiving'])
    expect(state.outcome?.kind).toBe('unreadable')
    expect(state.outcome).toMatchObject({ sentence: expect.stringMatching(/lane\.mkv.*damaged.*copy it/) as string })
  })

  test('by ending once: the usual reader has a second try', async () => {
    const state = opening(20_000, (_args, asked) => (asked === 1 ? 'ends' : 'answers'))
    await vi.advanceTimersByTimeAsync(1000)
    expect(readers(state.asked)).toEqual(['usual', 'usual'])
    expect(state.outcome?.kind).toBe('no-frames')
  })

  test('by ending again and again: the other reader is the last one tried', async () => {
    const state = opening(20_000, () => 'ends')
    await vi.advanceTimersByTimeAsync(1000)
    expect(readers(state.asked)).toEqual(['usual', 'usual', 'forgiving'])
    expect(state.outcome?.kind).toBe('unreadable')
  })

  test('a small file leaves a thread that works on a large one its patience', async () => {
    const both = opening(20_000, () => 'falls-silent', 800e6)
    await vi.advanceTimersByTimeAsync(14_000)
    expect(readers(both.asked)).toEqual(['usual', 'usual'])
    await vi.advanceTimersByTimeAsync(6000)
    expect(readers(both.asked)).toContain('forgiving')
  })

  test('a large file and a script that is still on its way have more patience', async () => {
    const large = opening(800e6, () => 'falls-silent')
    const unloaded = opening(20_000, () => 'never-speaks')
    await vi.advanceTimersByTimeAsync(14_000)
    expect(readers(large.asked)).toEqual(['usual'])
    expect(readers(unloaded.asked)).toEqual(['usual'])
    await vi.advanceTimersByTimeAsync(6000)
    expect(readers(large.asked)).toEqual(['usual', 'forgiving'])
  })
})
