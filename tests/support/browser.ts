import { existsSync } from 'node:fs'
import { chromium, type Browser, type Page } from 'playwright-core'

const candidates = [process.env['CHROMIUM'], '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome']

/** Path of a Chromium that is installed here, or null. The environment variable CHROMIUM goes before all others. */
export function findChromium(): string | null {
  return candidates.find((path): path is string => path !== undefined && path !== '' && existsSync(path)) ?? null
}

/** No window, no traffic of its own, and full attention for pages that nobody sees. */
export const browserArguments: readonly string[] = [
  '--headless=new',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  // A window that nobody sees would be run at low priority, and measured as such.
  '--disable-renderer-backgrounding',
  '--disable-backgrounding-occluded-windows',
  '--disable-background-timer-throttling',
]

/** Starts Chromium without a window and without any traffic of its own. Throws when none is installed. */
export async function launchBrowser(extraArguments: readonly string[] = []): Promise<Browser> {
  const executablePath = findChromium()
  if (executablePath === null) throw new Error('No Chromium found: install one or point CHROMIUM at it.')
  return await chromium.launch({
    executablePath,
    args: [...browserArguments, ...extraArguments],
  })
}

/** What went wrong inside a page: uncaught errors and messages of level error, in order. */
export function collectErrors(page: Page): string[] {
  const errors: string[] = []
  page.on('pageerror', (error) => errors.push(error.message))
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text())
  })
  return errors
}
