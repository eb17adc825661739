import { startAutosave } from '../record/autosave.ts'
import { openBefore, openKept, watchLock } from '../record/open-record.ts'
import { notTakenOverSentence, otherTabSentence, tookOverSentence } from '../record/sentences.ts'
import { beginDropping } from './dropping.ts'
import { beginKeys } from './keys.ts'
import { dismissKey, say } from './messages.ts'
import { beginOffline } from './offline.ts'
import { beginPreferences } from './preferences.ts'
import { demoAsked, follow, goTo } from './route.ts'
import { watchStorage } from './storage-banner.ts'
import { showDemo, tellOpened } from './verbs.ts'

/** Starts everything that lives as long as the page. Called once. */
export function begin(): void {
  beginPreferences()
  beginKeys()
  beginDropping()
  startAutosave()
  watchStorage()
  watchLock((event) => {
    if (event.kind === 'other-tab') return void say('caution', otherTabSentence, { key: 'other-tab' })
    dismissKey('other-tab')
    if (event.kind === 'became-writable') say('told', tookOverSentence)
    else say('wrong', notTakenOverSentence(event.cause))
  })
  addEventListener('hashchange', onAddress)
  beginOffline()
  void openFirst()
}

/** The address of the demo also works when typed into an open page. */
function onAddress(): void {
  const asked = demoAsked('', location.hash)
  if (asked) void showDemo(asked)
  else follow()
}

async function openFirst(): Promise<void> {
  const before = openBefore()
  if (before) {
    const outcome = await openKept(before)
    if (outcome.kind === 'open') {
      tellOpened(outcome, 'the record')
      if (demoAsked('', location.hash)) goTo('footage', 'instead')
      else follow()
      return
    }
    // Cleared meanwhile is nothing to speak of; a record that is there and cannot be shown is.
    if (outcome.kind !== 'not-kept') tellOpened(outcome, 'the record that was open here')
  }
  const asked = demoAsked(location.search, location.hash)
  if (asked) await showDemo(asked)
  else follow()
}
