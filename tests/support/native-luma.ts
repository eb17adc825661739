import { execFileSync, spawn } from 'node:child_process'
import { closeSync, mkdtempSync, openSync, rmSync } from 'node:fs'
import { Socket, type OnReadOpts, type SocketConstructorOpts } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { FrameSource, Luma } from '../../workers/locate/frame-source.ts'

/** Luma of a clip decoded by the ffmpeg installed on the machine, read from a pipe frame by frame in rising order.
 *  Holds one frame and one pipe buffer; a backward step starts the decoder anew. */
export interface NativeLuma extends FrameSource {
  close(): void
}

export function openNativeLuma(path: string, options: { frames?: number } = {}): NativeLuma {
  const shown = execFileSync(
    'ffprobe',
    ['-v', 'error', '-select_streams', 'v:0', '-show_entries', 'stream=width,height,nb_frames', '-of', 'json', path],
    { encoding: 'utf8' },
  )
  const parsed: unknown = JSON.parse(shown)
  const stream = (parsed as { streams: { width: number; height: number; nb_frames?: string }[] }).streams[0]
  if (!stream) throw new Error(`no picture in ${path}`)
  const { width, height } = stream
  const frameCount = options.frames ?? Number(stream.nb_frames)
  const size = width * height
  const frame = new Uint8Array(size)
  const plane: Luma = { width, height, stride: width, data: frame, bitDepth: 8 }
  let pipe: FramePipe | undefined
  let next = 0

  const close = (): void => {
    pipe?.close()
    pipe = undefined
    next = 0
  }
  const readNext = async (): Promise<void> => {
    pipe ??= openPipe(path)
    if (!(await pipe.fill(frame))) throw new Error(`${path} ends before frame ${next}`)
    next++
  }
  return {
    frameCount,
    storedWidth: width,
    storedHeight: height,
    rotation: 0,
    async luma(wanted: number): Promise<Luma> {
      if (wanted < next - 1) close()
      while (next <= wanted) await readNext()
      return plane
    },
    close,
  }
}

interface FramePipe {
  /** Fills `frame` with what comes next; false where the decoder ended before. */
  fill(frame: Uint8Array): Promise<boolean>
  close(): void
}

/**
 * A decoder that writes brightness to a named pipe. One buffer takes in whatever arrives: with a stream's own buffers, a new one every 64 KiB, a clip
 * of a second keeps the garbage collector busy for half of one, which would be charged to whoever looks at the frames.
 */
function openPipe(path: string): FramePipe {
  const folder = mkdtempSync(join(tmpdir(), 'luma-'))
  const name = join(folder, 'frames')
  execFileSync('mkfifo', [name])
  // Opened both ways it does not wait for the other side, and with it open neither does the reading end.
  const into = openSync(name, 'r+')
  const from = openSync(name, 'r')
  rmSync(folder, { recursive: true })
  const input = ['-v', 'error', '-noautorotate', '-i', path, '-map', '0:v:0', '-fps_mode', 'passthrough']
  const output = ['-enc_time_base', '-1', '-vf', 'extractplanes=y', '-pix_fmt', 'gray', '-f', 'rawvideo', '-']
  const child = spawn('ffmpeg', [...input, ...output], { stdio: ['ignore', into, 'inherit'] })
  closeSync(into)
  const buffer = Buffer.alloc(2 ** 20)
  let arrived = buffer.subarray(0, 0)
  let wake: (() => void) | undefined
  let ended = false
  const onread: OnReadOpts = {
    buffer,
    callback: (count) => {
      arrived = buffer.subarray(0, count)
      wake?.()
      // Nothing more until this is taken: there is no other buffer.
      return false
    },
  }
  // Types of Node leave out that a socket made for a file takes a buffer too.
  const options: SocketConstructorOpts & { onread: OnReadOpts } = { fd: from, readable: true, writable: false, onread }
  const socket = new Socket(options)
  socket.on('end', () => {
    ended = true
    wake?.()
  })
  const arrival = async (): Promise<void> => {
    const more = new Promise<void>((resolve) => (wake = resolve))
    socket.resume()
    await more
  }
  return {
    async fill(frame) {
      let filled = 0
      while (filled < frame.length) {
        if (arrived.length === 0 && !ended) await arrival()
        if (arrived.length === 0) return false
        const take = Math.min(arrived.length, frame.length - filled)
        frame.set(arrived.subarray(0, take), filled)
        arrived = arrived.subarray(take)
        filled += take
      }
      return true
    },
    close() {
      child.kill('SIGKILL')
      socket.destroy()
    },
  }
}
