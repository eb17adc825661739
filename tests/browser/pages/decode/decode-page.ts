import { md5 } from 'hash-wasm'
import {
  createDecodeClient,
  type ClipFacts,
  type OpenClip,
  type PictureOutcome,
} from '../../../../workers/bridge/decode-client.ts'
import { readBarcode } from '../../../support/barcode.ts'

/** What a test may ask of this page, in plain data. */
export interface DecodePage {
  open(urls: readonly string[], names: readonly string[], cancelAfter_ms?: number): Promise<PageOpen>
  /** Bar code and MD5 of the brightness of frames, asked for in this order, each awaited before the next. */
  read(frames: readonly number[]): Promise<PageFrame[]>
  /** The bar code of frames as drawn on a canvas from the picture that the page would show. */
  draw(frames: readonly number[]): Promise<(number | null | string)[]>
  /** Milliseconds until the picture of each frame was there; each is asked for no sooner than `every_ms` after the one before. */
  time(frames: readonly number[], every_ms?: number): Promise<number[]>
  /** All frames through a job inside the worker: milliseconds in total and mean brightness of each. */
  sweep(rect: { x: number; y: number; width: number; height: number }): Promise<{ ms: number; means: number[] }>
  /** The whole search along these lanes, as the page itself asks for it: milliseconds in total and the lane of each run. */
  findRuns(lanes: readonly PageLane[], captureFps: number): Promise<{ ms: number; lanes: string[] }>
  glance(frame: number): Promise<{ frame: number; width: number } | null>
  hash(): Promise<string>
  facts(): Promise<PageFacts | null>
  state(): Promise<{ openFrames: number; cached_bytes: number; crossOriginIsolated: boolean }>
  /** Ends the worker behind the client's back, as a crash would. */
  kill(): Promise<void>
  close(): Promise<void>
}

/** A lane's line, arc length beside each point, px. */
export interface PageLane {
  readonly id: string
  readonly x: readonly number[]
  readonly y: readonly number[]
  readonly arc: readonly number[]
}

export type PageFacts = Omit<ClipFacts, 'ticks'> & { readonly ticks: number[] }
export type PageOpen =
  | { readonly kind: 'open'; readonly facts: PageFacts; readonly ms: number }
  | { readonly kind: string; readonly sentence: string }
export interface PageFrame {
  readonly frame: number
  readonly number: number | null
  readonly md5: string | null
  readonly kind: string
  readonly doubtful: boolean
  /** Milliseconds until the answer was there. */
  readonly ms: number
}

let worker: Worker | null = null
const client = createDecodeClient(() => {
  worker = new Worker(new URL('../../../../workers/decode/decode.worker.ts', import.meta.url), { type: 'module' })
  return worker
})
let clip: OpenClip | null = null

const plain = (facts: ClipFacts): PageFacts => ({ ...facts, ticks: [...facts.ticks] })

function opened(): OpenClip {
  if (clip === null) throw new Error('no clip is open')
  return clip
}

async function fetchFile(url: string, name: string): Promise<File> {
  const response = await fetch(url)
  if (!response.ok) throw new Error(`${url}: ${response.status}`)
  return new File([await response.blob()], name)
}

async function readOne(frame: number): Promise<PageFrame> {
  const { facts } = opened()
  const rect = { x: 0, y: 0, width: facts.codedWidth_px, height: facts.codedHeight_px }
  const start = performance.now()
  const outcome = await opened().lumaPatch(frame, rect)
  const ms = performance.now() - start
  if (outcome.kind !== 'patch') return { frame, number: null, md5: null, kind: outcome.kind, doubtful: false, ms }
  const { data, stride, width, height } = outcome.luma
  const number = readBarcode((x, y) => data[y * stride + x] ?? 0, width, height)
  const bytes = new Uint8Array(data.buffer, data.byteOffset, data.byteLength)
  return { frame, number, md5: await md5(bytes), kind: 'patch', doubtful: outcome.doubtful, ms }
}

function barcodeOnCanvas(outcome: PictureOutcome): number | null | string {
  if (outcome.kind !== 'picture') return outcome.kind
  const { image } = outcome
  const width = 'displayWidth' in image ? image.displayWidth : image.width
  const height = 'displayHeight' in image ? image.displayHeight : image.height
  const canvas = new OffscreenCanvas(width, height)
  const context = canvas.getContext('2d')
  if (context === null) throw new Error('no canvas')
  context.drawImage(image, 0, 0)
  image.close()
  const { data } = context.getImageData(0, 0, width, height)
  return readBarcode((x, y) => data[(y * width + x) * 4 + 1] ?? 0, width, height)
}

const page: DecodePage = {
  async open(urls, names, cancelAfter_ms) {
    clip?.close()
    clip = null
    const files = await Promise.all(urls.map((url, i) => fetchFile(url, names[i] ?? `clip${i}`)))
    const signal = cancelAfter_ms === undefined ? undefined : AbortSignal.timeout(cancelAfter_ms)
    const single = files.length === 1 ? files[0] : undefined
    const start = performance.now()
    const outcome = await client.openClip(single ?? files, { signal })
    if (outcome.kind !== 'open') return { kind: outcome.kind, sentence: outcome.sentence }
    const ms = performance.now() - start
    clip = outcome.clip
    return { kind: 'open', facts: plain(outcome.facts), ms }
  },
  async read(frames) {
    const out: PageFrame[] = []
    for (const frame of frames) out.push(await readOne(frame))
    return out
  },
  async draw(frames) {
    const out: (number | null | string)[] = []
    for (const frame of frames) out.push(barcodeOnCanvas(await opened().picture(frame)))
    return out
  },
  async time(frames, every_ms = 0) {
    const out: number[] = []
    let due = performance.now()
    for (const frame of frames) {
      while (performance.now() < due) await new Promise((resolve) => setTimeout(resolve, due - performance.now()))
      const start = performance.now()
      due = start + every_ms
      const outcome = await opened().picture(frame)
      out.push(performance.now() - start)
      if (outcome.kind === 'picture') outcome.image.close()
    }
    return out
  },
  async sweep(rect) {
    const start = performance.now()
    const result = await opened().meanLuma({ rect, first: 0, last: Infinity })
    return { ms: performance.now() - start, means: result.kind === 'series' ? [...result.means] : [] }
  },
  async findRuns(lanes, captureFps) {
    const { frames } = opened().facts
    const lines = lanes.map(({ id, x, y, arc }) => ({
      id,
      x: Float64Array.from(x),
      y: Float64Array.from(y),
      arc: Float64Array.from(arc),
    }))
    const time_s = Float64Array.from({ length: frames }, (_, i) => i / captureFps)
    const start = performance.now()
    const result = await opened().run('find-runs', {
      lanes: lines,
      time_s,
      turn_deg: 0,
      from: 0,
      to: frames,
      find: true,
      token: 'bench',
    })
    const ms = performance.now() - start
    if (result.kind !== 'found') throw new Error(`the search ended as ${result.kind}`)
    return { ms, lanes: result.runs.map(({ lane }) => lane) }
  },
  async glance(frame) {
    const outcome = await opened().glance(frame, 80)
    if (outcome.kind !== 'glance') return null
    const { width } = outcome.image
    outcome.image.close()
    return { frame: outcome.frame, width }
  },
  hash: () => opened().contentHash(),
  facts: () => Promise.resolve(clip === null ? null : plain(clip.facts)),
  state: () => client.state(),
  kill: () => {
    worker?.terminate()
    return Promise.resolve()
  },
  close() {
    clip?.close()
    clip = null
    return Promise.resolve()
  },
}

declare global {
  interface Window {
    decodePage: DecodePage
  }
}
window.decodePage = page
