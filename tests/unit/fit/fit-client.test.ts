import { expect, test } from 'vitest'
import type { FromWorker, ToWorker } from '../../../workers/bridge/calls.ts'
import { fitClient } from '../../../workers/bridge/fit-client.ts'
import { emptyRecord } from '../../../workers/record/index.ts'

/** A thread that answers when it is told to. */
class SlowThread extends EventTarget {
  readonly heard: ToWorker[] = []
  postMessage(message: ToWorker): void {
    this.heard.push(message)
  }
  answer(data: FromWorker): void {
    this.dispatchEvent(new MessageEvent('message', { data }))
  }
  terminate(): void {
    this.heard.length = 0
  }
  get calls(): (ToWorker & { kind: 'call' })[] {
    return this.heard.filter((message) => message.kind === 'call')
  }
}

test('the results of an older record never replace those of a newer one: the older call is stopped and ends as stale', async () => {
  const thread = new SlowThread()
  const client = fitClient(() => thread as unknown as Worker)
  const older = client.latestLaneResults(emptyRecord('older', '', ''))
  const progress: number[] = []
  const newer = client.latestLaneResults(emptyRecord('newer', '', ''), {
    onProgress: ({ done }) => progress.push(done),
  })
  const [first, second] = thread.calls
  expect(thread.heard).toContainEqual({ kind: 'cancel', id: first!.id })
  thread.answer({ kind: 'progress', id: second!.id, value: { done: 1, of: 2 } })
  thread.answer({ kind: 'done', id: second!.id, value: [] })
  // Too late: the older record's answer comes last.
  thread.answer({ kind: 'done', id: first!.id, value: ['old'] })
  expect(await older).toBe('stale')
  expect(await newer).toEqual([])
  expect(progress).toEqual([1])
  client.close()
})

test('a caller’s own cancel is an error of the caller, not a stale result', async () => {
  const thread = new SlowThread()
  const client = fitClient(() => thread as unknown as Worker)
  const control = new AbortController()
  const call = client.latestLaneResults(emptyRecord('one', '', ''), { signal: control.signal })
  control.abort()
  await expect(call).rejects.toThrow()
  client.close()
})
