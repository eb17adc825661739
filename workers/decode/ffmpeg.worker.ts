import type { CreateCore, EmscriptenFs } from './ffmpeg-core.ts'
import { isComplaint, parseShowinfo, parseTimeBase, sampleFormatOf, type LoggedFrame } from './ffmpeg-log.ts'
import { controlSlot, type FfmpegExec, type FfmpegReport, type FfmpegStart } from './ffmpeg-messages.ts'
import { packedLayout } from './planes.ts'

// A thread that does one thing: run ffmpeg, which blocks until it has finished. Every call gets a fresh instance of the
// compiled module: an instance that is used again dies with `memory access out of bounds` after a hundred calls or so.

const logLines = 400
/** Frames by which an error may run ahead of the damaged picture in streams that reorder frames. Source: H.264, A.3.1. */
const reorderLimit = 16
const errno = { badFile: 8, io: 29 } as const

let core: { create: CreateCore; module: WebAssembly.Module } | null = null
let queue: Promise<void> = Promise.resolve()

const post = (report: FfmpegReport, transfer: Transferable[] = []): void => self.postMessage(report, { transfer })

self.addEventListener('message', (event: MessageEvent<FfmpegStart | FfmpegExec>) => {
  const request = event.data
  queue = queue.then(async () => {
    if (request.kind === 'start') {
      const loaded = (await import(/* @vite-ignore */ request.coreUrl)) as { default: CreateCore }
      core = { create: loaded.default, module: request.module }
      return
    }
    try {
      await execute(request)
    } catch (error) {
      post({ kind: 'crashed', id: request.id, cause: String(error) })
    }
  })
  queue.catch((error: unknown) => post({ kind: 'crashed', id: -1, cause: String(error) }))
})

async function execute(request: FfmpegExec): Promise<void> {
  if (core === null) throw new Error('ffmpeg was not started')
  const { create, module } = core
  const instance = await create({
    instantiateWasm: (imports, receive) => {
      WebAssembly.instantiate(module, imports).then(
        (made) => receive(made, module),
        (error: unknown) => post({ kind: 'crashed', id: request.id, cause: String(error) }),
      )
      return {}
    },
  })
  const fs = instance.FS
  fs.mkdir('/in')
  fs.mount(fs.filesystems.WORKERFS, { blobs: [{ name: 'clip', data: request.file }] }, '/in')
  watchReading(fs, request)
  const sink = request.output === 'frames' ? new FrameWriter(request, fs) : new TextWriter()
  const log: string[] = []
  instance.setLogger(({ message }) => {
    if (sink.log(message)) return
    log.push(message)
    if (log.length > logLines) log.splice(40, log.length - logLines)
  })
  const device = fs.makedev(64, 0)
  fs.registerDevice(device, {
    open: (stream) => (stream.seekable = false),
    close: () => undefined,
    read: () => 0,
    llseek: () => {
      throw new fs.ErrnoError(errno.badFile)
    },
    write: (_stream, buffer, offset, length) => {
      sink.write(new Uint8Array(buffer.buffer, buffer.byteOffset + offset, length))
      return length
    },
  })
  fs.mkdev('/out', 0o666, device)
  const ret = instance.exec('-hide_banner', '-nostats', ...request.before, '-i', '/in/clip', ...request.after, '/out')
  post({ kind: 'done', id: request.id, ret, log, text: sink.text() })
}

/** Reports how far into the file ffmpeg has read, about ten times a second. */
function watchReading(fs: EmscriptenFs, request: FfmpegExec): void {
  const operations = fs.filesystems.WORKERFS.stream_ops
  const read = operations.read
  let last = performance.now()
  operations.read = (stream, buffer, offset, length, position) => {
    const now = performance.now()
    if (now - last > 100) {
      last = now
      post({ kind: 'read', id: request.id, position })
    }
    return read(stream, buffer, offset, length, position)
  }
}

class TextWriter {
  readonly #decoder = new TextDecoder()
  readonly #parts: string[] = []
  log(_line: string): boolean {
    return false
  }
  write(bytes: Uint8Array): void {
    this.#parts.push(this.#decoder.decode(bytes, { stream: true }))
  }
  text(): string {
    return this.#parts.join('')
  }
}

/** Cuts the stream of raw video into pictures, labels each from the log, and waits until the reader allows the next. */
class FrameWriter {
  readonly #request: FfmpegExec
  readonly #fs: EmscriptenFs
  readonly #control: Int32Array | null
  readonly #announced: LoggedFrame[] = []
  #tick_s = 1
  #picture: Uint8Array<ArrayBuffer> | null = null
  #filled = 0
  #written = 0
  #announcedCount = 0
  #complaintAt = -Infinity
  #doubt = false

  constructor(request: FfmpegExec, fs: EmscriptenFs) {
    this.#request = request
    this.#fs = fs
    this.#control = request.control === null ? null : new Int32Array(request.control)
  }

  log(line: string): boolean {
    const base = parseTimeBase(line)
    if (base !== null) this.#tick_s = base[0] / base[1]
    const frame = parseShowinfo(line)
    if (frame !== null) {
      this.#announced.push(frame)
      this.#announcedCount += 1
      return true
    }
    if (isComplaint(line)) {
      this.#complaintAt = this.#announcedCount
      this.#doubt = true
    }
    return line.startsWith('[Parsed_')
  }

  write(bytes: Uint8Array): void {
    if (this.#control !== null && Atomics.load(this.#control, controlSlot.stop) === 1)
      throw new this.#fs.ErrnoError(errno.io)
    let at = 0
    while (at < bytes.length) {
      const picture = (this.#picture ??= this.#begin())
      const part = bytes.subarray(at, at + picture.length - this.#filled)
      picture.set(part, this.#filled)
      this.#filled += part.length
      at += part.length
      if (this.#filled === picture.length) this.#finish(picture)
    }
  }

  text(): string {
    return ''
  }

  #begin(): Uint8Array<ArrayBuffer> {
    const frame = this.#announced[0]
    const format = frame === undefined ? null : sampleFormatOf(frame.pixelFormat)
    if (frame === undefined || format === null) throw new this.#fs.ErrnoError(errno.io)
    this.#filled = 0
    return new Uint8Array(packedLayout(format, frame.width, frame.height).bytes)
  }

  #finish(picture: Uint8Array<ArrayBuffer>): void {
    const frame = this.#announced.shift()
    const format = frame === undefined ? null : sampleFormatOf(frame.pixelFormat)
    if (frame === undefined || format === null) throw new this.#fs.ErrnoError(errno.io)
    this.#picture = null
    const ordinal = this.#written++
    post(
      {
        kind: 'frame',
        id: this.#request.id,
        ordinal,
        time_s: frame.pts * this.#tick_s,
        format,
        fullRange: frame.pixelFormat.startsWith('yuvj') || frame.pixelFormat.startsWith('gray') ? true : null,
        width: frame.width,
        height: frame.height,
        buffer: picture.buffer,
        doubtful: this.#isDoubtful(frame, ordinal),
      },
      [picture.buffer],
    )
    if (this.#control === null) return
    for (;;) {
      if (Atomics.load(this.#control, controlSlot.stop) === 1) throw new this.#fs.ErrnoError(errno.io)
      const allowed = Atomics.load(this.#control, controlSlot.allowed)
      if (this.#written < allowed) return
      Atomics.wait(this.#control, controlSlot.allowed, allowed)
    }
  }

  /** A complaint taints pictures until the next key frame that surely lies behind it. */
  #isDoubtful(frame: LoggedFrame, ordinal: number): boolean {
    const slack = this.#request.intraOnly ? 0 : reorderLimit
    if (this.#doubt && frame.key && ordinal > this.#complaintAt + slack) this.#doubt = false
    return this.#doubt
  }
}
