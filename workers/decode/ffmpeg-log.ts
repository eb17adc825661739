import type { PictureColor, SampleFormat } from './planes.ts'

/** What the log says about the next picture that will be written. */
export interface LoggedFrame {
  readonly pts: number
  readonly pixelFormat: string
  readonly width: number
  readonly height: number
  readonly key: boolean
}

/** Pixel formats that reach us as coded, bit for bit; all others are converted to the nearest of these first. */
const formats: Readonly<Record<string, SampleFormat>> = {
  yuv420p: 'I420',
  yuvj420p: 'I420',
  yuv422p: 'I422',
  yuvj422p: 'I422',
  yuv444p: 'I444',
  yuvj444p: 'I444',
  yuv420p10le: 'I420P10',
  yuv422p10le: 'I422P10',
  yuv444p10le: 'I444P10',
  yuv420p12le: 'I420P12',
  yuv422p12le: 'I422P12',
  yuv444p12le: 'I444P12',
  gray: 'GRAY8',
  gray10le: 'GRAY10',
  gray12le: 'GRAY12',
  gray16le: 'GRAY16',
}

/** Argument of the `format` filter that lets these formats through untouched. */
export const acceptedPixelFormats = Object.keys(formats).join('|')

export function sampleFormatOf(pixelFormat: string): SampleFormat | null {
  return formats[pixelFormat] ?? null
}

/** Reads a line of the `showinfo` filter (ffmpeg 5.1), or null when it is another line. */
export function parseShowinfo(line: string): LoggedFrame | null {
  const match =
    /^\[Parsed_showinfo_\d+ @ [^\]]+\] n: *\d+ pts: *(-?\d+|NOPTS) .*? fmt:(\w+) .*? s:(\d+)x(\d+) .*?iskey:([01])/.exec(
      line,
    )
  if (match === null) return null
  const [, pts, pixelFormat = '', width, height, key] = match
  return { pts: Number(pts), pixelFormat, width: Number(width), height: Number(height), key: key === '1' }
}

/** Ticks per second that the `showinfo` filter counts in, as [numerator, denominator] of one tick, or null. */
export function parseTimeBase(line: string): readonly [number, number] | null {
  const match = /^\[Parsed_showinfo_\d+ @ [^\]]+\] config in time_base: (\d+)\/(\d+)/.exec(line)
  return match === null ? null : [Number(match[1]), Number(match[2])]
}

/** What ffmpeg says of the first video stream of a file. */
export interface LoggedStream {
  readonly codec: string
  readonly pixelFormat: string | null
  readonly width: number
  readonly height: number
  readonly rate_hz: number | null
  readonly color: PictureColor
}

/** Reads the `Stream #0:0 … Video:` line, or null when it is another line. */
export function parseVideoStream(line: string): LoggedStream | null {
  const match = /^ *Stream #0:\d+.*?: Video: (\w+)(.*)$/.exec(line)
  if (match === null) return null
  const [, codec = '', rest = ''] = match
  const size = /, (\d+)x(\d+)/.exec(rest)
  if (size === null) return null
  const format = /, (\w+)(?:\(([^)]*)\))?(?:,.*)?, \d+x\d+/.exec(rest)
  const rate = /, ([\d.]+)(k?) (?:fps|tbr)/.exec(rest)
  return {
    codec,
    pixelFormat: format?.[1] ?? null,
    width: Number(size[1]),
    height: Number(size[2]),
    rate_hz: rate === null ? null : Number(rate[1]) * (rate[2] === 'k' ? 1000 : 1),
    color: colorOf(format?.[1] ?? '', format?.[2] ?? ''),
  }
}

function colorOf(pixelFormat: string, words: string): PictureColor {
  const parts = words.split(/, */)
  const full = pixelFormat.startsWith('yuvj') || parts.includes('pc') || pixelFormat.startsWith('gray')
  const fullRange = full ? true : parts.includes('tv') ? false : null
  // Either one name for all three, or matrix/primaries/transfer.
  const space = parts.find((part) => part.includes('/') || /^(bt|smpte)/.test(part)) ?? ''
  const [matrix = '', primaries = matrix, transfer = matrix] = space.split('/')
  const stated = (name: string): string | null => (/^(bt709|bt470bg|smpte170m)$/.test(name) ? name : null)
  const curve = (name: string): string | null => (/^(bt709|smpte170m)$/.test(name) ? name : null)
  return { matrix: stated(matrix), primaries: stated(primaries), transfer: curve(transfer), fullRange }
}

/** One packet as listed by the `framecrc` muxer. */
export interface LoggedPacket {
  readonly pts: number
  readonly duration: number
  readonly size: number
  /** As flagged by the container. */
  readonly key: boolean
}

/** Reads the output of the `framecrc` muxer: its time base and packets in decode order, or null when it holds none. */
export function parseFramecrc(
  text: string,
): { readonly timeBase: readonly [number, number]; readonly packets: LoggedPacket[] } | null {
  const base = /^#tb 0: (\d+)\/(\d+)/m.exec(text)
  if (base === null) return null
  const packets: LoggedPacket[] = []
  for (const line of text.split('\n')) {
    if (line.startsWith('#') || line.trim() === '') continue
    const [, , pts, duration, size, , flags] = line.split(',').map((cell) => cell.trim())
    // Flags are written only where they differ from those of a key frame.
    const key = flags === undefined || !flags.startsWith('F=') || (Number(flags.slice(2)) & 1) === 1
    packets.push({ pts: ticksOf(pts), duration: Number(duration), size: Number(size), key })
  }
  return { timeBase: [Number(base[1]), Number(base[2])], packets }
}

/** A timestamp that is not there is written as the least 64-bit number. */
function ticksOf(cell: string | undefined): number {
  const ticks = Number(cell)
  return ticks < -9e18 ? NaN : ticks
}

/** True for a line in which a decoder complains about the data it was given. */
export function isComplaint(line: string): boolean {
  if (!/^\[\w[\w.-]* @ 0x/.test(line) || line.startsWith('[Parsed_')) return false
  return /error|corrupt|conceal|invalid|damage|missing|overread|truncat|broken|illegal|out of|no picture|failed/i.test(
    line,
  )
}
