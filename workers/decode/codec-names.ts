/** Names people know, by the names that containers and ffmpeg use. */
const names: Readonly<Record<string, string>> = {
  avc: 'H.264',
  h264: 'H.264',
  avc1: 'H.264',
  hevc: 'H.265 (HEVC)',
  hvc1: 'H.265 (HEVC)',
  hev1: 'H.265 (HEVC)',
  vp8: 'VP8',
  vp9: 'VP9',
  av1: 'AV1',
  prores: 'ProRes',
  mjpeg: 'motion JPEG',
  jpeg: 'motion JPEG',
  mjpa: 'motion JPEG',
  mjpb: 'motion JPEG B',
  mpeg4: 'MPEG-4 part 2',
  mp4v: 'MPEG-4 part 2',
  msmpeg4v3: 'MS MPEG-4 v3',
  mpeg2video: 'MPEG-2',
  mpeg1video: 'MPEG-1',
  rawvideo: 'uncompressed',
  ffv1: 'FFV1',
  dnxhd: 'DNxHD',
  dvvideo: 'DV',
  huffyuv: 'HuffYUV',
  ffvhuff: 'FFVHuff',
  utvideo: 'Ut Video',
  png: 'PNG',
  gif: 'GIF',
}

export function codecName(id: string): string {
  return names[id.trim().toLowerCase()] ?? id
}

/** Codecs (as ffmpeg names them) whose every frame stands alone. */
const intra = new Set(
  'mjpeg mjpegb rawvideo prores dnxhd huffyuv ffvhuff utvideo png dvvideo v210 v410 jpeg2000 magicyuv cfhd ljpeg jpegls qtrle_intra tiff bmp targa'.split(
    ' ',
  ),
)

export const isIntraOnly = (ffmpegCodec: string): boolean => intra.has(ffmpegCodec)
