import type { Server } from 'node:http'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll } from 'vitest'
import { builtSite } from '../../web/server/built.ts'
import { portOf, serveSite } from '../../web/server/serve.ts'
import { launchBrowser } from './browser.ts'

/** The built page at an address of its own and a browser to open it in, from before the first test of a file until after its last. */
export interface ServedPage {
  readonly browser: Browser
  readonly address: string
}

/** Serves the built page and starts a browser around the tests of the file that calls this. Its fields hold once a test or a later `beforeAll` runs. */
export function servedPage(): ServedPage {
  let server: Server | undefined
  let browser: Browser | undefined
  beforeAll(async () => {
    server = await serveSite(await builtSite(), 0)
    browser = await launchBrowser()
  })
  afterAll(async () => {
    await browser?.close()
    server?.closeAllConnections()
    server?.close()
  })
  const before = () => new Error('the page is served once the tests run')
  return {
    get browser() {
      if (!browser) throw before()
      return browser
    },
    get address() {
      if (!server) throw before()
      return `http://localhost:${portOf(server)}/`
    },
  }
}
