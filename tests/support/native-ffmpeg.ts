import { spawnSync } from 'node:child_process'

/** Runs native ffmpeg and returns what it wrote to its output. Throws with its complaints when it fails. */
export function ffmpeg(args: readonly string[], input?: Uint8Array): Buffer {
  const run = spawnSync(
    'ffmpeg',
    ['-hide_banner', '-nostdin', '-loglevel', 'error', '-y', ...args].filter(
      (arg) => input === undefined || arg !== '-nostdin',
    ),
    {
      input,
      maxBuffer: 1024 * 1024 * 1024,
    },
  )
  if (run.error !== undefined) throw run.error
  if (run.status !== 0) throw new Error(`ffmpeg ${args.join(' ')}: ${run.stderr.toString()}`)
  return run.stdout
}

/** Whether native ffmpeg and ffprobe are installed. */
export function hasFfmpeg(): boolean {
  return ['ffmpeg', 'ffprobe'].every((program) => spawnSync(program, ['-version']).status === 0)
}

/** One frame as native ffmpeg decodes it. */
export interface NativeFrame {
  /** Presentation time in seconds; NaN where there is none. */
  readonly time_s: number
  /** MD5 of the brightness plane, samples in rows without gaps. */
  readonly md5: string
}

/** All frames of a clip by native ffmpeg, in shown order: times as they stand in the file, and the MD5 of each luma plane.
 *  `luma` is the filter that leaves brightness only; footage stored as RGB needs `format=gray`. */
export function nativeFrames(path: string, luma = 'extractplanes=y'): NativeFrame[] {
  const filters = ['-map', '0:v:0', '-vf', luma, '-fps_mode', 'passthrough', '-enc_time_base', '-1']
  const text = ffmpeg([
    '-noautorotate',
    '-copyts',
    '-i',
    path,
    ...filters,
    '-c:v',
    'rawvideo',
    '-f',
    'framemd5',
    '-',
  ]).toString()
  const base = /^#tb 0: (\d+)\/(\d+)/m.exec(text)
  const tick_s = Number(base?.[1] ?? NaN) / Number(base?.[2] ?? NaN)
  return text
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'))
    .map((line) => {
      const cells = line.split(',').map((cell) => cell.trim())
      return { time_s: Number(cells[2]) * tick_s, md5: cells[5] ?? '' }
    })
}

/** Presentation times of all frames by ffprobe [s], in shown order. */
export function probedTimes_s(path: string): number[] {
  const run = spawnSync(
    'ffprobe',
    [
      '-v',
      'error',
      '-select_streams',
      'v:0',
      '-show_entries',
      'frame=best_effort_timestamp_time',
      '-of',
      'csv=p=0',
      path,
    ],
    { maxBuffer: 256 * 1024 * 1024 },
  )
  if (run.status !== 0) throw new Error(`ffprobe ${path}: ${run.stderr.toString()}`)
  return run.stdout
    .toString()
    .split('\n')
    .map((line) => line.replace(/,.*$/, '').trim())
    .filter((line) => line !== '')
    .map(Number)
}
