import { join } from 'node:path'
import { build, type Plugin } from 'vite'
import { cacheFolder, repository } from './repository.ts'

/** The page as it is built for people, with a clock around its one door to the record; returns the folder to serve. */
export async function timedPage(): Promise<string> {
  const outDir = join(cacheFolder('pages'), 'timed')
  await build({
    configFile: join(repository, 'web/vite.config.ts'),
    logLevel: 'warn',
    plugins: [clockAroundTheDoor],
    build: { outDir, emptyOutDir: true, sourcemap: false },
  })
  return outDir
}

const door = 'export function commit('

/** Every call of `commit` leaves when it began and when it returned in `window.commits`. */
const clockAroundTheDoor: Plugin = {
  name: 'clock-around-the-door',
  enforce: 'pre',
  transform(code, id) {
    if (!id.endsWith('/web/record/store.ts')) return undefined
    if (!code.includes(door)) throw new Error('the door to the record is not where the clock looks for it')
    return `${code.replace(door, 'function commitItself(')}
      export const commit: typeof commitItself = (name, recipe) => {
        const from = performance.now()
        const outcome = commitItself(name, recipe)
        ;(globalThis as any).commits?.push([from, performance.now()])
        return outcome
      }`
  },
}

/** Times in the page [ms]. Of each change: when its key came, when `commit` was called and returned, when its line was given to storage and when storage confirmed it; of each key: when the page was free again and when a picture was painted. */
export interface PageTimes {
  readonly keys: readonly { readonly pressed: number; readonly free: number; readonly painted: number }[]
  readonly commits: readonly (readonly [called: number, returned: number])[]
  readonly posted: readonly number[]
  readonly confirmed: readonly number[]
}

/** Runs in the page before its own code. Keys with Alt are timed. */
export const clocks = `{
  const times = { keys: [], posted: [], confirmed: [] }
  globalThis.commits = []
  globalThis.pageTimes = () => ({ ...times, commits: globalThis.commits })
  globalThis.forgetTimes = () => { for (const list of [...Object.values(times), globalThis.commits]) list.length = 0 }
  const task = (run) => { const { port1, port2 } = new MessageChannel(); port1.onmessage = run; port2.postMessage(0) }
  addEventListener('keydown', (event) => {
    if (!event.altKey || event.key === 'Alt') return
    const key = { pressed: performance.now(), free: NaN, painted: NaN }
    times.keys.push(key)
    task(() => { key.free = performance.now() })
    requestAnimationFrame(() => task(() => { key.painted = performance.now() }))
  }, true)
  const put = IDBObjectStore.prototype.put
  IDBObjectStore.prototype.put = function (...all) {
    const request = put.apply(this, all)
    if (this.name === 'journal') {
      times.posted.push(performance.now())
      this.transaction.addEventListener('complete', () => times.confirmed.push(performance.now()))
    }
    return request
  }
}`
