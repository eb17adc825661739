import { readFileSync } from 'node:fs'
import type { Server } from 'node:http'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { readRecord } from '../../workers/record/index.ts'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { repository } from '../support/repository.ts'

let browser: Browser
let folder: string
let server: Server
let address: string
let context: BrowserContext
const requested: string[] = []

beforeAll(async () => {
  folder = await builtSite()
  server = await serveSite(folder, 0)
  address = `http://localhost:${portOf(server)}/`
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
  server?.closeAllConnections()
  server?.close()
})
beforeEach(async () => {
  // The cache for working offline is 40 MB and has a test of its own.
  context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: 'block' })
  context.on('request', (request) => requested.push(request.url()))
  // A window for choosing files has no place in an unattended browser: saving goes to downloads, opening to a file input.
  await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
})
afterEach(async () => {
  await context.close()
})

async function openPage(hash = ''): Promise<{ page: Page; errors: string[] }> {
  const page = await context.newPage()
  const errors = collectErrors(page)
  await page.goto(address + hash)
  return { page, errors }
}

async function choose(page: Page, item: string): Promise<void> {
  await page.getByRole('button', { name: 'Menu' }).click()
  await page.getByRole('menuitem', { name: item }).click()
}

const titleOf = (page: Page) => page.getByRole('textbox', { name: 'Title of the record' })

async function newRecord(page: Page, title: string): Promise<void> {
  await choose(page, 'New record')
  await titleOf(page).fill(title)
  await titleOf(page).press('Enter')
  await page.locator('[data-copy=kept]').waitFor()
}

describe('the first screen', () => {
  test('says the job, the two ways in and that footage stays here; without an error, within its own origin', async () => {
    const { page, errors } = await openPage()
    await page.getByRole('heading', { level: 1, name: /ball roll/ }).waitFor()
    await page.getByRole('button', { name: 'Open your clip' }).waitFor()
    await page.getByRole('button', { name: 'Open the demo' }).waitFor()
    await page.getByText('Footage never leaves this machine.').waitFor()
    expect(errors).toEqual([])
    expect(requested.filter((url) => !url.startsWith(address) && !url.startsWith('blob:'))).toEqual([])
  })

  test.each([
    ['', 'light'],
    ['', 'dark'],
    ['#/kept', 'light'],
    ['#/about', 'dark'],
  ] as const)('address “%s” in %s has no serious finding of axe', async (hash, colorScheme) => {
    const { page } = await openPage(hash)
    await page.emulateMedia({ colorScheme })
    await page.getByRole('heading', { level: 1 }).waitFor()
    await page.evaluate(readFileSync(`${repository}node_modules/axe-core/axe.min.js`, 'utf8'))
    const serious: unknown = await page.evaluate(`axe.run().then((found) => found.violations
      .filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => v.id + ': ' + v.nodes.map((n) => n.html).join(' | ')))`)
    expect(serious).toEqual([])
  })
})

describe('a record', () => {
  test('keeps its changes by itself, undoes and redoes them by key, and comes back after a reload', async () => {
    const { page, errors } = await openPage()
    await newRecord(page, 'Foyer clock')
    await page.locator('main').focus()
    await page.keyboard.press('Control+z')
    expect(await titleOf(page).inputValue()).toBe('Untitled record')
    await page.keyboard.press('Control+Shift+Z')
    expect(await titleOf(page).inputValue()).toBe('Foyer clock')
    await page.locator('[data-copy=kept]').waitFor()
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('Foyer clock')
    expect(errors).toEqual([])
  })

  test('is on the list of kept records when the page is opened anew, and goes on from there', async () => {
    const first = await openPage()
    await newRecord(first.page, 'Left behind')
    await first.page.close()
    const { page } = await openPage()
    await page.getByRole('button', { name: 'Left behind' }).click()
    await expect.poll(() => titleOf(page).inputValue()).toBe('Left behind')
  })

  test('is saved to a file that reads, and a broken file changes nothing and says why', async () => {
    const { page } = await openPage()
    await newRecord(page, 'Été, “A”')
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save', exact: true }).click(),
    ])
    expect(download.suggestedFilename()).toBe('ete-a.slowlane.json')
    const text = readFileSync(await download.path(), 'utf8')
    const read = readRecord(text)
    expect(read.kind === 'ok' && read.record.title).toBe('Été, “A”')
    await page.getByText(/Saved to file/).waitFor()

    const offer = async (name: string, body: string) => {
      const [chooser] = await Promise.all([page.waitForEvent('filechooser'), choose(page, 'Open …')])
      await chooser.setFiles({ name, mimeType: 'application/json', buffer: Buffer.from(body) })
    }
    await offer('half.slowlane.json', text.slice(0, text.length / 2))
    await page
      .getByRole('alert')
      .getByText(/half\.slowlane\.json.*is not a record/)
      .waitFor()
    await offer('newer.slowlane.json', text.replace('"schema": 1', '"schema": 41'))
    await page
      .getByRole('alert')
      .getByText(/newer version: its format is 41/)
      .waitFor()
    expect(await titleOf(page).inputValue()).toBe('Été, “A”')
    await offer(
      'other.slowlane.json',
      text.replace('Été, “A”', 'Another').replace(/"id": "[0-9a-z]{16}"/, '"id": "another"'),
    )
    await expect.poll(() => titleOf(page).inputValue()).toBe('Another')
  })

  test('open in a second tab can be looked at there, and is taken over when the first tab goes', async () => {
    const first = await openPage()
    await newRecord(first.page, 'Only once')
    const { page } = await openPage()
    await page.getByRole('button', { name: 'Only once' }).click()
    await page.getByText(/open in another tab/).waitFor()
    expect(await titleOf(page).getAttribute('readonly')).not.toBeNull()
    await titleOf(first.page).fill('Changed over there')
    await titleOf(first.page).press('Enter')
    await first.page.locator('[data-copy=kept]').waitFor()
    await first.page.close()
    await page.getByText(/you can go on here/).waitFor()
    expect(await titleOf(page).inputValue()).toBe('Changed over there')
    await titleOf(page).fill('And on')
    await titleOf(page).press('Enter')
    await page.locator('[data-copy=kept]').waitFor()
  })

  test.each([
    [
      'refused',
      `IDBFactory.prototype.open = () => { throw new DOMException('denied', 'SecurityError') }`,
      /refuses to keep data/,
    ],
    [
      'full',
      `const put = IDBObjectStore.prototype.put
       IDBObjectStore.prototype.put = function (...all) {
         if (window.letThrough) return put.apply(this, all)
         throw new DOMException('no room', 'QuotaExceededError')
       }`,
      /storage is full/,
    ],
  ])('goes on in memory while storage is %s, with the file offered', async (_name, fault, words) => {
    await context.addInitScript(fault)
    const { page } = await openPage()
    await choose(page, 'New record')
    await titleOf(page).fill('In memory')
    await titleOf(page).press('Enter')
    const banner = page.getByRole('alert').filter({ hasText: words })
    await banner.waitFor()
    await titleOf(page).fill('Still in memory')
    await titleOf(page).press('Enter')
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      banner.getByRole('button', { name: 'Save to a file' }).click(),
    ])
    const read = readRecord(readFileSync(await download.path(), 'utf8'))
    expect(read.kind === 'ok' && read.record.title).toBe('Still in memory')
  })

  test('is kept again, with nothing missing, when storage that was full has room', async () => {
    await context.addInitScript(`const put = IDBObjectStore.prototype.put
      IDBObjectStore.prototype.put = function (...all) {
        if (window.letThrough) return put.apply(this, all)
        throw new DOMException('no room', 'QuotaExceededError')
      }`)
    const { page } = await openPage()
    await choose(page, 'New record')
    await titleOf(page).fill('One')
    await titleOf(page).press('Enter')
    await page
      .getByRole('alert')
      .filter({ hasText: /storage is full/ })
      .waitFor()
    await page.evaluate('window.letThrough = true')
    await titleOf(page).fill('Two')
    await titleOf(page).press('Enter')
    await page.locator('[data-copy=kept]').waitFor({ timeout: 20_000 })
    await page.reload()
    await expect.poll(() => titleOf(page).inputValue()).toBe('Two')
  })
})

describe('keys', () => {
  test('“?” lists them, and none acts while a title is typed', async () => {
    const { page } = await openPage()
    await newRecord(page, 'Keys')
    await titleOf(page).focus()
    await page.keyboard.type('What?')
    expect(await page.getByRole('dialog').count()).toBe(0)
    expect(await titleOf(page).inputValue()).toContain('What?')
    await page.keyboard.press('Escape')
    await page.locator('main').focus()
    await page.keyboard.press('?')
    await page.getByRole('dialog', { name: 'Keys' }).waitFor()
    await page.keyboard.press('Escape')
    await expect.poll(() => page.getByRole('dialog').count()).toBe(0)
  })

  test('the menu is worked by arrows and Esc gives the focus back', async () => {
    const { page } = await openPage()
    await page.getByRole('button', { name: 'Menu' }).focus()
    await page.keyboard.press('ArrowDown')
    await page.getByRole('menuitem', { name: 'New record' }).waitFor()
    await page.keyboard.press('End')
    expect(await page.evaluate('document.activeElement.textContent')).toBe('About')
    await page.keyboard.press('Enter')
    await page.getByRole('heading', { name: 'About Slowlane' }).waitFor()
    await page.goBack()
    await page.getByRole('heading', { name: /ball roll/ }).waitFor()
  })
})

test('a place that an address names is left by “back”', async () => {
  const { page } = await openPage()
  await newRecord(page, 'Ways')
  const station = page.getByRole('navigation', { name: 'Stations' }).getByRole('link')
  await station.nth(1).click()
  await expect.poll(() => station.nth(1).getAttribute('aria-current')).toBe('page')
  await page.goBack()
  await expect.poll(() => station.nth(0).getAttribute('aria-current')).toBe('page')
  await page.goForward()
  await expect.poll(() => station.nth(1).getAttribute('aria-current')).toBe('page')
})

test('after the first visit the page works with its server gone', async () => {
  const own = await serveSite(folder, 0)
  const visitor = await browser.newContext()
  const page = await visitor.newPage()
  const home = `http://localhost:${portOf(own)}/`
  await page.goto(home)
  await page.getByText('works on this device without a network').waitFor({ timeout: 110_000 })
  own.closeAllConnections()
  await new Promise((resolve) => own.close(resolve))
  await page.goto(`${home}#/about`)
  await page.reload()
  await page.getByRole('heading', { name: 'About Slowlane' }).waitFor()
  await page.getByText('Third-party notices').click()
  await page.getByText('Each stays under its own licence.').waitFor()
  await visitor.close()
})
