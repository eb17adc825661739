import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium, type BrowserContext, type Page } from 'playwright-core'
import { browserArguments, findChromium } from './browser.ts'

/** A browser with a profile on the disk, made to be killed: what it kept is there when it is started again. */
export interface PerishableBrowser {
  /** The running browser, started when there is none. */
  context(): Promise<BrowserContext>
  /** Ends the browser's process at once, as a power cut does: nothing is flushed, nobody is told. */
  kill(): Promise<void>
  /** Ends the process that runs the page; the browser lives on. */
  crash(page: Page): Promise<void>
  close(): Promise<void>
}

export function perishableBrowser(init: string): PerishableBrowser {
  const executablePath = findChromium()
  if (executablePath === null) throw new Error('No Chromium found: install one or point CHROMIUM at it.')
  const profile = mkdtempSync(join(tmpdir(), 'slowlane-profile-'))
  let running: { context: BrowserContext; pid: number } | undefined

  async function start(): Promise<{ context: BrowserContext; pid: number }> {
    const context = await chromium.launchPersistentContext(profile, {
      executablePath: executablePath!,
      args: [...browserArguments],
      viewport: { width: 1280, height: 1100 },
      serviceWorkers: 'block',
    })
    await context.addInitScript(init)
    const session = await context.browser()!.newBrowserCDPSession()
    const { processInfo } = await session.send('SystemInfo.getProcessInfo')
    const pid = processInfo.find(({ type }) => type === 'browser')?.id
    if (pid === undefined) throw new Error('the browser does not tell its process')
    return { context, pid }
  }

  return {
    async context() {
      running ??= await start()
      return running.context
    },
    async kill() {
      if (!running) throw new Error('no browser is running')
      const { context, pid } = running
      running = undefined
      const gone = new Promise<void>((resolve) => context.once('close', () => resolve()))
      process.kill(pid, 'SIGKILL')
      await gone
    },
    async crash(page) {
      const session = await page.context().newCDPSession(page)
      const gone = new Promise<void>((resolve) => page.once('crash', () => resolve()))
      // The process that should answer is the one that ends.
      session.send('Page.crash').catch(() => undefined)
      await gone
      await page.close()
    },
    async close() {
      await running?.context.close()
      running = undefined
      rmSync(profile, { recursive: true, force: true, maxRetries: 5 })
    },
  }
}
