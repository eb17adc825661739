import type { Browser, Page } from 'playwright-core'
import type { DecodePage } from '../browser/pages/decode/decode-page.ts'
import { launchBrowser } from './browser.ts'
import { buildPage } from './page-build.ts'
import { cacheFolder } from './repository.ts'
import { serveStatic, type StaticServer } from './static-server.ts'

/** The small page that opens clips and reads their frames, in a browser of its own. */
export interface DecodeBench {
  readonly browser: Browser
  readonly page: Page
  /** Calls one function of the page. */
  ask<Name extends keyof DecodePage>(name: Name, ...args: Parameters<DecodePage[Name]>): ReturnType<DecodePage[Name]>
  /** Address in the page of a file in the cache of clips. */
  url(path: string): string
  close(): Promise<void>
}

/** Builds the page, serves it with or without cross-origin isolation, and opens it. */
export async function startDecodePage(options: {
  readonly isolated: boolean
  readonly define?: Readonly<Record<string, string>>
}): Promise<DecodeBench> {
  const built = await buildPage('decode', options.define)
  const clips = cacheFolder('clips')
  const server: StaticServer = await serveStatic({
    mounts: { '/': built, '/clips/': clips },
    isolated: options.isolated,
  })
  const browser = await launchBrowser()
  const page = await browser.newPage()
  page.on('pageerror', (error) => console.error('in the page:', error.message))
  await page.goto(`${server.address}/`)
  await page.waitForFunction('window.decodePage !== undefined')
  return {
    browser,
    page,
    ask: <Name extends keyof DecodePage>(name: Name, ...args: Parameters<DecodePage[Name]>) =>
      page.evaluate(
        ([method, values]) => {
          const target = window.decodePage as unknown as Record<string, ((...all: unknown[]) => unknown) | undefined>
          const call = target[method]
          if (call === undefined) throw new Error(`the page has no ${method}`)
          return call(...values)
        },
        [name as string, args as unknown[]] as const,
      ) as ReturnType<DecodePage[Name]>,
    url: (path) => {
      if (!path.startsWith(clips)) throw new Error(`${path} is not in the cache of clips`)
      return `/clips/${path.slice(clips.length + 1)}`
    },
    close: async () => {
      await browser.close()
      await server.close()
    },
  }
}
