import type { BarcodeClip } from './barcode-clip.ts'

/** How exact the brightness has to be: bit for bit as native ffmpeg, or the number readable on every frame. */
export type Exactness = 'bits' | 'number'

export interface CodecClip extends BarcodeClip {
  readonly decoder: 'webcodecs' | 'prores' | 'image-decoder' | 'ffmpeg'
  readonly exact: Exactness
  /** Clockwise turn to be stated by the facts. */
  readonly rotation_deg?: number
}

const x264 = (...more: string[]): string[] => [
  '-c:v',
  'libx264',
  '-preset',
  'fast',
  '-crf',
  '20',
  '-pix_fmt',
  'yuv420p',
  ...more,
]
const h264 = (name: string, encode: readonly string[], rest: Partial<CodecClip> = {}): CodecClip => ({
  name: `h264-${name}`,
  extension: 'mp4',
  encode,
  decoder: 'webcodecs',
  exact: 'bits',
  ...rest,
})
const turned = (degrees: number, clockwise: number): CodecClip =>
  h264(`turned-${clockwise}`, x264('-g', '30'), {
    rotation_deg: clockwise,
    remux: { before: [], after: ['-metadata:s:v:0', `rotate=${degrees}`] },
  })

/** Every kind of clip that the tool promises to read, made by native ffmpeg from frames that carry their number. */
export const codecClips: readonly CodecClip[] = [
  h264('b-frames', x264('-bf', '3', '-g', '30')),
  h264('gop-30', x264('-bf', '0', '-g', '30')),
  h264('gop-250', x264('-bf', '2', '-g', '250'), { frames: 260 }),
  h264('open-gop', x264('-bf', '3', '-g', '24', '-x264-params', 'open-gop=1')),
  h264('intra-refresh', x264('-bf', '0', '-g', '24', '-x264-params', 'intra-refresh=1')),
  h264('10-bit', [
    '-c:v',
    'libx264',
    '-preset',
    'fast',
    '-crf',
    '20',
    '-pix_fmt',
    'yuv420p10le',
    '-profile:v',
    'high10',
  ]),
  h264('422-10-bit', [
    '-c:v',
    'libx264',
    '-preset',
    'fast',
    '-crf',
    '20',
    '-pix_fmt',
    'yuv422p10le',
    '-profile:v',
    'high422',
  ]),
  h264('444', ['-c:v', 'libx264', '-preset', 'fast', '-crf', '20', '-pix_fmt', 'yuv444p', '-profile:v', 'high444']),
  // ffmpeg writes the opposite sign: its `rotate` tag counts anticlockwise in what it stores.
  turned(270, 90),
  turned(180, 180),
  turned(90, 270),
  h264('fragmented', x264('-g', '30', '-movflags', 'frag_keyframe+empty_moov+default_base_moof')),
  h264(
    'vfr',
    x264(
      '-bf',
      '2',
      '-g',
      '30',
      '-vf',
      "setpts='(N+0.4*mod(N,3))/30/TB'",
      '-fps_mode',
      'passthrough',
      '-video_track_timescale',
      '90000',
    ),
  ),
  h264('edit-list', x264('-bf', '2', '-g', '30'), { remux: { before: ['-ss', '0.7'], after: [] } }),
  h264('offset-start', x264('-bf', '2', '-g', '30', '-output_ts_offset', '3.2')),
  h264('odd-size', ['-c:v', 'libx264', '-preset', 'fast', '-crf', '20', '-pix_fmt', 'yuv444p'], {
    width: 317,
    height: 181,
  }),
  h264('cropped', x264('-g', '30'), { width: 322, height: 182 }),
  h264('mkv', x264('-bf', '2', '-g', '30'), { extension: 'mkv' }),
  h264('ts', x264('-bf', '2', '-g', '30'), { extension: 'ts' }),
  h264(
    '240-fps-phone',
    x264('-bf', '0', '-g', '60', '-movflags', 'use_metadata_tags', '-metadata', 'com.android.capture.fps=240'),
  ),
  {
    name: 'vp8',
    extension: 'webm',
    encode: ['-c:v', 'libvpx', '-b:v', '2M', '-g', '30'],
    decoder: 'webcodecs',
    exact: 'bits',
  },
  {
    name: 'vp9',
    extension: 'webm',
    encode: ['-c:v', 'libvpx-vp9', '-b:v', '2M', '-g', '30', '-cpu-used', '8'],
    decoder: 'webcodecs',
    exact: 'bits',
  },
  {
    name: 'av1',
    extension: 'mp4',
    encode: ['-c:v', 'libsvtav1', '-preset', '10', '-g', '30', '-crf', '25'],
    decoder: 'webcodecs',
    exact: 'bits',
  },
  {
    name: 'hevc',
    extension: 'mp4',
    encode: ['-c:v', 'libx265', '-preset', 'fast', '-x265-params', 'keyint=30:log-level=none', '-tag:v', 'hvc1'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  {
    name: 'hevc-10-bit',
    extension: 'mp4',
    encode: [
      '-c:v',
      'libx265',
      '-preset',
      'fast',
      '-pix_fmt',
      'yuv420p10le',
      '-x265-params',
      'keyint=250:log-level=none',
      '-tag:v',
      'hvc1',
    ],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  {
    name: 'hevc-mkv',
    extension: 'mkv',
    encode: ['-c:v', 'libx265', '-preset', 'fast', '-x265-params', 'keyint=30:log-level=none'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  {
    name: 'prores',
    extension: 'mov',
    encode: ['-c:v', 'prores_ks', '-profile:v', '2', '-pix_fmt', 'yuv422p10le'],
    decoder: 'prores',
    exact: 'number',
  },
  {
    name: 'mjpeg-mov',
    extension: 'mov',
    encode: ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj420p'],
    decoder: 'image-decoder',
    exact: 'number',
  },
  {
    name: 'mjpeg-avi',
    extension: 'avi',
    encode: ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj420p'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  {
    name: 'mpeg4-avi',
    extension: 'avi',
    encode: ['-c:v', 'mpeg4', '-q:v', '3', '-bf', '2', '-g', '30'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  {
    name: 'mpeg4-avi-plain',
    extension: 'avi',
    encode: ['-c:v', 'mpeg4', '-q:v', '3', '-bf', '0', '-g', '30'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  { name: 'ffv1-mkv', extension: 'mkv', encode: ['-c:v', 'ffv1', '-g', '1'], decoder: 'ffmpeg', exact: 'bits' },
  {
    name: 'raw-gray-avi',
    extension: 'avi',
    encode: ['-c:v', 'rawvideo', '-pix_fmt', 'gray'],
    decoder: 'ffmpeg',
    exact: 'bits',
  },
  { name: 'h264-avi', extension: 'avi', encode: x264('-bf', '2', '-g', '30'), decoder: 'ffmpeg', exact: 'bits' },
  {
    name: 'gif',
    extension: 'gif',
    encode: [
      '-vf',
      'settb=1/100,setpts=4*N+mod(N\\,3),split[a][b];[a]palettegen[p];[b][p]paletteuse',
      '-fps_mode',
      'passthrough',
    ],
    frames: 60,
    decoder: 'image-decoder',
    exact: 'number',
  },
  {
    name: 'png-stills',
    extension: 'png',
    encode: ['-pix_fmt', 'rgb24'],
    frames: 40,
    decoder: 'image-decoder',
    exact: 'number',
    stills: true,
  },
  {
    name: 'jpeg-stills',
    extension: 'jpg',
    encode: ['-q:v', '2', '-pix_fmt', 'yuvj420p'],
    frames: 40,
    decoder: 'image-decoder',
    exact: 'number',
    stills: true,
  },
]
