import { readFileSync } from 'node:fs'
import type { Server } from 'node:http'
import { join } from 'node:path'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { collectErrors, launchBrowser } from '../support/browser.ts'
import { chooseInMenu } from '../support/record-page.ts'
import { repository } from '../support/repository.ts'
import { goTo, shown, stage } from '../support/stations-page.ts'

let folder: string
let browser: Browser
let server: Server
let address: string
let context: BrowserContext

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

/** Tells every breach of the page's policy as an error, wherever it happens. */
const tellBreaches = `addEventListener('securitypolicyviolation', (event) =>
  console.error('breach of ' + event.violatedDirective + ': ' + event.blockedURI))
  delete window.showSaveFilePicker
  delete window.showOpenFilePicker`

describe('with its server gone after the first visit', () => {
  let page: Page
  let errors: string[]
  const requested: string[] = []

  beforeAll(async () => {
    const own = await serveSite(folder, 0)
    const home = `http://localhost:${portOf(own)}/`
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } })
    await context.addInitScript(tellBreaches)
    context.on('request', (request) => requested.push(request.url()))
    page = await context.newPage()
    await page.goto(home)
    await page.getByText('works on this device without a network').waitFor({ timeout: 150_000 })
    own.closeAllConnections()
    await new Promise((resolve) => own.close(resolve))
    errors = collectErrors(page)
    await page.reload()
  })
  afterAll(async () => {
    await context.close()
  })

  test('the demo opens with results, plots and footage', async () => {
    await page.getByRole('button', { name: 'Open the demo' }).click()
    await page
      .getByRole('row', { name: /as cut/ })
      .first()
      .waitFor({ timeout: 60_000 })
    await page.locator('.js-plotly-plot').first().waitFor({ timeout: 60_000 })
    await goTo(page, 'Marks')
    await page.locator('.stage[data-shown-frame]').waitFor({ timeout: 60_000 })
    for (const station of ['Time', 'Scale', 'Lanes', 'Compare', 'Margin', 'Handover'])
      if (
        await page
          .getByRole('navigation', { name: 'Stations' })
          .getByRole('link', { name: new RegExp(`^${station}`) })
          .count()
      )
        await goTo(page, station)
  })

  test('a clip that only the fallback decoder reads is opened and stepped through', async () => {
    await chooseInMenu(page, 'New record')
    const [chooser] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.getByRole('button', { name: 'Pick footage' }).click(),
    ])
    await chooser.setFiles(join(repository, 'samples/clips/lane-b-motion-jpeg.avi'))
    await page
      .getByText(/MJPEG|Motion JPEG/i)
      .first()
      .waitFor({ timeout: 60_000 })
    await shown(page, 0)
    await stage(page).focus()
    await page.keyboard.press('Shift+ArrowRight')
    await shown(page, 10)
  })

  test('nothing was asked of another host, no rule of the page was broken, and no error was met', () => {
    const origin = new URL(page.url()).origin
    const others = requested.filter((url) => !url.startsWith(`${origin}/`) && !/^(blob|data):/.test(url))
    expect(requested.length).toBeGreaterThan(20)
    expect(others).toEqual([])
    expect(errors).toEqual([])
  })
})

describe('the policy of the built page', () => {
  test('names its own origin only, and stands in the page itself, so that it holds on any server', () => {
    const html = readFileSync(join(folder, 'index.html'), 'utf8')
    const policy = (/http-equiv="Content-Security-Policy" content="([^"]+)"/.exec(html)?.[1] ?? '').replaceAll(
      '&#39;',
      "'",
    )
    // Before any script or style that it is to bind.
    expect(html.indexOf('Content-Security-Policy')).toBeLessThan(html.search(/<script|<link/))
    const rules = new Map(
      policy.split(';').map((rule) => [rule.trim().split(' ')[0]!, rule.trim().split(' ').slice(1)]),
    )
    expect(rules.get('default-src')).toEqual(["'none'"])
    expect(rules.get('script-src')).toEqual(["'self'", "'wasm-unsafe-eval'"])
    for (const [name, allowed] of rules)
      for (const from of allowed)
        expect(["'self'", "'none'", "'wasm-unsafe-eval'", 'blob:', 'data:'], name).toContain(from)
    expect(policy).not.toMatch(/unsafe-inline|'unsafe-eval'|https?:|\*/)
  })

  test('keeps scripts from being evaluated or put in, and from speaking to another host', async () => {
    const own = await browser.newContext({ serviceWorkers: 'block', bypassCSP: false })
    const page = await own.newPage()
    await page.goto(address)
    const said: unknown = await page.evaluate(`(async () => {
      const breaches = []
      addEventListener('securitypolicyviolation', (event) => breaches.push(event.effectiveDirective))
      const tried = []
      await fetch('http://127.0.0.1:9/x').then(() => tried.push('fetch'), () => undefined)
      const script = document.createElement('script')
      script.textContent = 'window.putIn = true'
      document.head.append(script)
      const picture = new Image()
      picture.src = 'http://127.0.0.1:9/x.png'
      document.body.append(picture)
      const link = document.createElement('a')
      link.setAttribute('onclick', 'window.putIn = true')
      link.click()
      await new Promise((resolve) => setTimeout(resolve, 300))
      return { tried, putIn: window.putIn === true, breaches: [...new Set(breaches)].sort() }
    })()`)
    expect(said).toEqual({
      tried: [],
      putIn: false,
      breaches: ['connect-src', 'img-src', 'script-src-attr', 'script-src-elem'],
    })
    await own.close()
  })
})

describe('installing', () => {
  test('manifest, icons and service worker are as the browser wants them', async () => {
    const own = await browser.newContext()
    const page = await own.newPage()
    await page.goto(address)
    await page.evaluate('navigator.serviceWorker.ready.then(() => true)')
    const devtools = await own.newCDPSession(page)
    const { installabilityErrors } = await devtools.send('Page.getInstallabilityErrors')
    // A private context, as tests use, can install nothing whatever the page offers.
    expect(installabilityErrors.map(({ errorId }) => errorId).filter((id) => id !== 'in-incognito')).toEqual([])
    const { errors, data } = await devtools.send('Page.getAppManifest')
    expect(errors).toEqual([])
    const manifest = JSON.parse(data ?? '{}') as {
      name: string
      start_url: string
      display: string
      icons: { src: string; sizes: string; type: string; purpose?: string }[]
    }
    expect(manifest).toMatchObject({ name: 'Slowlane', start_url: './', display: 'standalone' })
    expect(manifest.icons.some(({ purpose }) => purpose === 'maskable')).toBe(true)
    for (const { src, sizes, type } of manifest.icons) {
      const file = readFileSync(join(folder, src))
      if (type !== 'image/png') continue
      // PNG: width and height follow the head of the first chunk (ISO/IEC 15948, 11.2.2).
      expect(`${file.readUInt32BE(16)}x${file.readUInt32BE(20)}`, src).toBe(sizes)
    }
    await own.close()
  })
})
