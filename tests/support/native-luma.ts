import { spawn } from 'node:child_process'
import { execFileSync } from 'node:child_process'
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
  let child: ReturnType<typeof spawn> | undefined
  let iterator: AsyncIterator<Buffer> | undefined
  let rest: Buffer = Buffer.alloc(0)
  let next = 0

  const close = (): void => {
    child?.kill('SIGKILL')
    child = undefined
    iterator = undefined
    rest = Buffer.alloc(0)
    next = 0
  }
  const open = (): AsyncIterator<Buffer> => {
    const args = [
      '-v',
      'error',
      '-noautorotate',
      '-i',
      path,
      '-map',
      '0:v:0',
      '-fps_mode',
      'passthrough',
      '-enc_time_base',
      '-1',
    ]
    child = spawn('ffmpeg', [...args, '-vf', 'extractplanes=y', '-pix_fmt', 'gray', '-f', 'rawvideo', '-'], {
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    const out = child.stdout
    if (!out) throw new Error('ffmpeg gave no pipe')
    return (out as AsyncIterable<Buffer>)[Symbol.asyncIterator]()
  }
  const readNext = async (): Promise<void> => {
    iterator ??= open()
    let filled = 0
    while (filled < size) {
      if (rest.length === 0) {
        const { value, done } = await iterator.next()
        if (done === true) throw new Error(`${path} ends before frame ${next}`)
        rest = value
      }
      const take = Math.min(rest.length, size - filled)
      frame.set(rest.subarray(0, take), filled)
      rest = rest.subarray(take)
      filled += take
    }
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
