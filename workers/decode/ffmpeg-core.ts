/** The parts of the ffmpeg core (an Emscripten module) that are used here, as facts of its interface. */
export interface FfmpegCore {
  readonly FS: EmscriptenFs
  readonly ret: number
  exec(...args: string[]): number
  setLogger(logger: (entry: { type: string; message: string }) => void): void
}

export interface EmscriptenFs {
  readonly filesystems: { readonly WORKERFS: WorkerFs }
  readonly ErrnoError: new (errno: number) => Error
  mkdir(path: string): void
  mount(type: WorkerFs, options: { blobs: { name: string; data: Blob }[] }, path: string): void
  makedev(major: number, minor: number): number
  registerDevice(device: number, operations: DeviceOperations): void
  mkdev(path: string, mode: number, device: number): void
}

interface WorkerFs {
  readonly stream_ops: {
    read(stream: unknown, buffer: Int8Array, offset: number, length: number, position: number): number
  }
}

interface DeviceOperations {
  open(stream: { seekable?: boolean }): void
  close(): void
  read(): number
  llseek(): number
  write(stream: unknown, buffer: Int8Array, offset: number, length: number): number
}

export type CreateCore = (overrides: {
  instantiateWasm(
    imports: WebAssembly.Imports,
    receive: (instance: WebAssembly.Instance, module: WebAssembly.Module) => void,
  ): Record<string, never>
}) => Promise<FfmpegCore>

/** Where the two files of the ffmpeg core lie; null in a build without it. The core is GPL-2.0-or-later and stays apart:
 *  two files fetched by address when a clip needs them, to be exchanged at will for another build of the same interface. */
export async function ffmpegUrls(): Promise<{ readonly coreUrl: string; readonly wasmUrl: string } | null> {
  if (import.meta.env.VITE_WITHOUT_FFMPEG) return null
  const { coreUrl, wasmUrl } = await import('./ffmpeg-urls.ts')
  return { coreUrl: new URL(coreUrl, self.location.href).href, wasmUrl: new URL(wasmUrl, self.location.href).href }
}

/** Fetches and compiles the core, telling how much of it has arrived. Rejects when it cannot be had. */
export async function compileCore(
  wasmUrl: string,
  signal: AbortSignal,
  onFraction: (fraction: number | null) => void,
): Promise<WebAssembly.Module> {
  const response = await fetch(wasmUrl, { signal })
  if (!response.ok || response.body === null) throw new Error(`the video decoder file answered ${response.status}`)
  const length =
    response.headers.get('content-encoding') === null ? Number(response.headers.get('content-length') ?? 0) : 0
  let received = 0
  const counted = response.body.pipeThrough(
    new TransformStream<Uint8Array<ArrayBuffer>, Uint8Array<ArrayBuffer>>({
      transform(chunk, controller) {
        received += chunk.length
        onFraction(length > 0 ? Math.min(1, received / length) : null)
        controller.enqueue(chunk)
      },
    }),
  )
  return await WebAssembly.compileStreaming(new Response(counted, { headers: { 'content-type': 'application/wasm' } }))
}
