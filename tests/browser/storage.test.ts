import type { BrowserContext, Page } from 'playwright-core'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { stableJson } from '../../workers/record/index.ts'
import { crashRecord } from '../support/crash-session.ts'
import { chooseInMenu, kept, openFile, rename, savedBy, titleOf } from '../support/record-page.ts'
import { servedPage } from '../support/served-page.ts'

const served = servedPage()
let context: BrowserContext
beforeEach(async () => {
  context = await served.browser.newContext({ viewport: { width: 1280, height: 800 }, serviceWorkers: 'block' })
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
})
afterEach(async () => {
  await context.close()
})

async function newPage(fault = ''): Promise<Page> {
  if (fault !== '') await context.addInitScript(fault)
  const page = await context.newPage()
  await page.goto(served.address)
  return page
}

async function newRecord(page: Page, title: string): Promise<void> {
  await chooseInMenu(page, 'New record')
  await rename(page, title)
}

const banner = (page: Page, words: RegExp) => page.getByRole('alert').filter({ hasText: words })

/** Every transaction that writes is broken off while `window.breakOff` is set, as a browser does that is short of something. */
const breaksOff = `{
  const transaction = IDBDatabase.prototype.transaction
  IDBDatabase.prototype.transaction = function (...all) {
    const made = transaction.apply(this, all)
    if (window.breakOff && all[1] === 'readwrite') setTimeout(() => { try { made.abort() } catch {} })
    return made
  }
  const commit = IDBTransaction.prototype.commit
  IDBTransaction.prototype.commit = function () { if (window.breakOff) this.abort(); else commit.call(this) }
}`

describe('while the browser does not keep changes', () => {
  test('a write that is broken off is told, tried again by itself, and nothing is missing afterwards', async () => {
    const page = await newPage(breaksOff)
    await newRecord(page, 'before')
    await kept(page)
    await page.evaluate('window.breakOff = true')
    await rename(page, 'while broken 1')
    await banner(page, /broke off keeping/).waitFor()
    await rename(page, 'while broken 2')
    await banner(page, /last 2 changes live in this tab only/).waitFor()
    await page.evaluate('window.breakOff = false')
    await kept(page)
    await expect.poll(() => banner(page, /broke off/).count()).toBe(0)
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('while broken 2')
  })

  test('a quota of the browser itself that is used up leaves all work in memory, offers the file, and is got over when there is room', async () => {
    const page = await newPage()
    const devtools = await context.newCDPSession(page)
    await openFile(page, 'large.slowlane.json', stableJson(crashRecord()))
    await expect.poll(() => titleOf(page).inputValue()).toBe('title 0')
    const origin = new URL(served.address).origin
    await devtools.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1 })
    await rename(page, 'no room for this')
    const full = banner(page, /storage is full/)
    await full.waitFor()
    await rename(page, 'nor for this')
    expect((await savedBy(page, full.getByRole('button', { name: 'Save to a file' }))).title).toBe('nor for this')
    await devtools.send('Storage.overrideQuotaForOrigin', { origin })
    await rename(page, 'room again')
    await kept(page)
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('room again')
    const record = await savedBy(page, page.getByRole('button', { name: 'Save', exact: true }))
    expect({ ...record, title: 'title 0' }).toEqual(crashRecord())
  })

  test('closing the tab is asked about; with everything kept it is not', async () => {
    const page = await newPage(breaksOff)
    await newRecord(page, 'one')
    await kept(page)
    const asked: string[] = []
    page.on('dialog', (dialog) => {
      asked.push(dialog.type())
      void dialog.accept()
    })
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('one')
    expect(asked).toEqual([])
    await page.evaluate('window.breakOff = true')
    await rename(page, 'two')
    await banner(page, /broke off/).waitFor()
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('one')
    expect(asked).toEqual(['beforeunload'])
  })

  test('storage that never answers is told after a while, and work goes on', async () => {
    const page = await newPage(`{
      const open = IDBFactory.prototype.open
      IDBFactory.prototype.open = function (...all) {
        return Object.defineProperty(open.apply(this, all), 'addEventListener', { value: () => undefined })
      }
    }`)
    await page.clock.install()
    await newRecord(page, 'no answer')
    await page.clock.fastForward(20_000)
    const silent = banner(page, /does not answer/)
    await silent.waitFor()
    await rename(page, 'still no answer')
    expect((await savedBy(page, silent.getByRole('button', { name: 'Save to a file' }))).title).toBe('still no answer')
  })

  test('with every kind of storage refused a record is begun, changed, undone and saved all the same', async () => {
    const page = await newPage(`
      for (const name of ['localStorage', 'sessionStorage', 'indexedDB'])
        Object.defineProperty(window, name, { get() { throw new DOMException('denied', 'SecurityError') } })`)
    await newRecord(page, 'in memory')
    await banner(page, /refuses to keep data/).waitFor()
    await rename(page, 'twice')
    await page.locator('main').focus()
    await page.keyboard.press('Control+z')
    await expect.poll(() => titleOf(page).inputValue()).toBe('in memory')
    expect((await savedBy(page, page.getByRole('button', { name: 'Save', exact: true }))).title).toBe('in memory')
  })
})

describe('storage that changes under the page', () => {
  test('cleared by the person, it gets the whole record again with the next change', async () => {
    const page = await newPage()
    await newRecord(page, 'one')
    await kept(page)
    await page.evaluate(`new Promise((resolve, reject) => {
      const request = indexedDB.deleteDatabase('slowlane')
      request.onsuccess = resolve
      request.onerror = reject
    })`)
    await rename(page, 'two')
    await kept(page)
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('two')
  })

  test('its copy removed in another tab, the open record comes back whole with the next change', async () => {
    const page = await newPage()
    await newRecord(page, 'one')
    await kept(page)
    const other = await newPage()
    await chooseInMenu(other, 'Kept records')
    await other.getByRole('button', { name: 'Remove the copy of one' }).click()
    await other.getByRole('dialog').getByRole('button', { name: 'Remove the copy' }).click()
    await other.getByText('None yet.').waitFor()
    await rename(page, 'two')
    await kept(page)
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('two')
  })

  test('more than a hundred changes are read back whole, from a later copy', { timeout: 180_000 }, async () => {
    const page = await newPage()
    await newRecord(page, 'change 0')
    for (let n = 1; n <= 130; n++) await rename(page, `change ${n}`)
    await kept(page)
    const copies = () =>
      page.evaluate(`new Promise((resolve) => {
        indexedDB.open('slowlane').onsuccess = ({ target: { result: db } }) => {
          db.transaction('snapshots').objectStore('snapshots').getAllKeys().onsuccess = ({ target }) => {
            db.close()
            resolve(target.result.length)
          }
        }
      })`)
    await expect.poll(copies, { timeout: 20_000 }).toBe(2)
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('change 130')
  })
})

describe('two tabs', () => {
  test('when the first one crashes the second takes over with everything the first had done', async () => {
    const first = await newPage()
    await newRecord(first, 'first')
    await kept(first)
    const second = await newPage()
    await second.getByRole('button', { name: 'first', exact: true }).click()
    await second.getByText(/open in another tab/).waitFor()
    await rename(first, 'done over there')
    await kept(first)
    const devtools = await context.newCDPSession(first)
    const gone = first.waitForEvent('crash')
    devtools.send('Page.crash').catch(() => undefined)
    await gone
    await second.getByText(/you can go on here/).waitFor()
    expect(await titleOf(second).inputValue()).toBe('done over there')
    await rename(second, 'and on')
    await kept(second)
  })

  test('without locks in the browser, changes of two tabs are never mixed: the later one is told and keeps its own in memory', async () => {
    const first = await newPage('Object.defineProperty(Navigator.prototype, "locks", { value: undefined })')
    await newRecord(first, 'common')
    await kept(first)
    const second = await newPage()
    await second.getByRole('button', { name: 'common', exact: true }).click()
    await expect.poll(() => titleOf(second).inputValue()).toBe('common')
    await rename(first, 'of the first')
    await kept(first)
    await rename(second, 'of the second')
    const overtaken = banner(second, /Another tab changed this record too/)
    await overtaken.waitFor()
    const own = await savedBy(second, overtaken.getByRole('button', { name: 'Save to a file' }))
    expect(own.title).toBe('of the second')
    await rename(first, 'of the first again')
    await kept(first)
    await first.reload()
    await expect.poll(() => titleOf(first).inputValue()).toBe('of the first again')
  })
})
