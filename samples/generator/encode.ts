import { spawn } from 'node:child_process'
import { once } from 'node:events'
import type { Scene } from './scene.ts'

/** A file being written, frame by frame. */
export interface Encoder {
  write(frame: Uint8Array): Promise<void>
  close(): Promise<void>
}

/** Arguments for native ffmpeg; one thread and bit-exact flags, so that the same frames give the same file. */
export function encoderArguments(scene: Scene, file: string): string[] {
  const { width, height } = scene.image
  const { time, codec } = scene
  const input = ['-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-s', `${width}x${height}`]
  const colour = ['-color_range', 'tv', '-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709']
  const exact = ['-threads', '1', '-fflags', '+bitexact', '-flags:v', '+bitexact', '-map_metadata', '-1']
  const args = ['-hide_banner', '-loglevel', 'error', '-y', ...input, ...colour]
  if (time.ramp) {
    // Frames arrive at the capture rate; between the two marks each lasts as long as the slow playback says.
    const factor = time.capture_fps / time.playback_fps
    const { slow_from, slow_to } = time.ramp
    const slowTicks = (slow_to - slow_from) * factor
    const stamp = `if(lt(N,${slow_from}),N,if(lt(N,${slow_to}),${slow_from}+(N-${slow_from})*${factor},${slow_from}+${slowTicks}+N-${slow_to}))`
    args.push('-r', `${time.capture_fps}`, '-i', '-', '-vf', `setpts='${stamp}'`)
    args.push('-fps_mode', 'passthrough', '-video_track_timescale', `${time.capture_fps * 100}`)
  } else {
    args.push('-r', `${time.playback_fps}`, '-i', '-')
  }
  if (codec.kind === 'mjpeg-avi') {
    args.push('-c:v', 'mjpeg', '-q:v', `${codec.quality}`, '-pix_fmt', 'yuvj420p', ...exact, file)
    return args
  }
  args.push('-c:v', 'libx264', '-preset', 'medium', '-crf', `${codec.crf}`, '-g', `${codec.gop}`, ...colour, ...exact)
  if (time.rate_tag) args.push('-metadata', `com.android.capture.fps=${time.capture_fps.toFixed(6)}`)
  args.push('-movflags', time.rate_tag ? '+faststart+use_metadata_tags' : '+faststart', file)
  return args
}

/** Starts native ffmpeg. Rejects with its own words when it fails. */
export function startEncoder(scene: Scene, file: string): Encoder {
  const child = spawn('ffmpeg', encoderArguments(scene, file), { stdio: ['pipe', 'ignore', 'pipe'] })
  let words = ''
  let failure: Error | null = null
  child.stderr.on('data', (chunk: Buffer) => (words += chunk.toString()))
  child.on('error', (cause) => (failure = new Error('native ffmpeg could not be started', { cause })))
  child.stdin.on('error', () => (failure ??= new Error(`ffmpeg stopped reading: ${words.trim()}`)))
  const ended = new Promise<number | null>((resolve) => child.on('close', resolve))
  return {
    async write(frame) {
      if (failure) throw failure
      if (!child.stdin.write(Buffer.from(frame))) await Promise.race([once(child.stdin, 'drain'), ended])
    },
    async close() {
      child.stdin.end()
      const code = await ended
      if (failure) throw failure
      if (code !== 0) throw new Error(`ffmpeg ended with ${code}: ${words.trim()}`)
    },
  }
}

/** File name of a scene's clip. */
export function clipName(scene: Scene): string {
  return `${scene.name}.${scene.codec.kind === 'h264-mp4' ? 'mp4' : 'avi'}`
}
