import { downloadRecord } from '../record/record-file.ts'
import { savedStore } from '../record/saved.ts'
import { faultSentence } from '../record/sentences.ts'
import { dismissKey, say } from './messages.ts'

const key = 'storage'

/** Shows a banner and asks before the tab is closed while the browser does not keep changes, and takes them away when it does again. */
export function watchStorage(): void {
  addEventListener('beforeunload', (event) => {
    if (savedStore.getState().copy.kind === 'failed') event.preventDefault()
  })
  savedStore.subscribe(({ copy }, before) => {
    const was = before.copy
    if (copy.kind === 'failed') {
      if (was.kind === 'failed' && was.why === copy.why && was.waiting === copy.waiting) return
      say('wrong', faultSentence(copy.why, copy.waiting), {
        key,
        action: { label: 'Save to a file', run: () => void downloadRecord() },
      })
    } else if (was.kind === 'failed') {
      dismissKey(key)
      if (copy.kind === 'kept') say('told', 'The browser keeps every change again.')
    }
  })
}
