/** What the first bytes say a file is, whatever its name says. */
export type Sniffed =
  | { readonly kind: 'container'; readonly container: string }
  | { readonly kind: 'still'; readonly mime: 'image/png' | 'image/jpeg' }
  | { readonly kind: 'gif' }
  /** `worthTrying` when the bytes are strange enough to be footage of a kind that only ffmpeg knows. */
  | { readonly kind: 'other'; readonly looksLike: string; readonly worthTrying: boolean }

/** Bytes that `sniff` wants to see. */
export const sniffLength = 1024

const ascii = (head: Uint8Array, at: number, length: number): string =>
  String.fromCharCode(...head.subarray(at, at + length))

const boxes = new Set(['ftyp', 'moov', 'mdat', 'free', 'skip', 'wide', 'pnot', 'styp', 'moof', 'uuid', 'sidx'])

/** Recognises containers, stills and the usual strangers by their first bytes (up to `sniffLength`). */
export function sniff(head: Uint8Array): Sniffed {
  const container = containerOf(head)
  if (container !== null) return { kind: 'container', container }
  if (head[0] === 0x89 && ascii(head, 1, 3) === 'PNG') return { kind: 'still', mime: 'image/png' }
  if (head[0] === 0xff && head[1] === 0xd8 && head[2] === 0xff) return { kind: 'still', mime: 'image/jpeg' }
  if (ascii(head, 0, 6) === 'GIF87a' || ascii(head, 0, 6) === 'GIF89a') return { kind: 'gif' }
  const stranger = strangerOf(head)
  return { kind: 'other', looksLike: stranger ?? unknownBytes, worthTrying: stranger === null }
}

function containerOf(head: Uint8Array): string | null {
  const four = ascii(head, 4, 4)
  if (boxes.has(four)) {
    if (four !== 'ftyp') return 'QuickTime'
    return ascii(head, 8, 4) === 'qt  ' ? 'QuickTime' : 'MP4'
  }
  if (head[0] === 0x1a && head[1] === 0x45 && head[2] === 0xdf && head[3] === 0xa3) {
    return ascii(head, 0, Math.min(64, head.length)).includes('webm') ? 'WebM' : 'Matroska'
  }
  if (ascii(head, 0, 4) === 'RIFF' && ascii(head, 8, 3) === 'AVI') return 'AVI'
  if (head[0] === 0x47 && head[188] === 0x47 && head[376] === 0x47) return 'MPEG-TS'
  if (head[4] === 0x47 && head[196] === 0x47 && head[388] === 0x47) return 'MPEG-TS'
  if (head[0] === 0 && head[1] === 0 && head[2] === 1 && head[3] === 0xba) return 'MPEG-PS'
  if (ascii(head, 0, 4) === 'OggS') return 'Ogg'
  if (ascii(head, 0, 3) === 'FLV') return 'FLV'
  if (head[0] === 0x30 && head[1] === 0x26 && head[2] === 0xb2 && head[3] === 0x75) return 'ASF'
  if (head[0] === 0x06 && head[1] === 0x0e && head[2] === 0x2b && head[3] === 0x34) return 'MXF'
  if (ascii(head, 0, 9) === 'YUV4MPEG2') return 'YUV4MPEG2'
  return null
}

const unknownBytes = 'bytes of no format known here'

function strangerOf(head: Uint8Array): string | null {
  if (ascii(head, 0, 4) === 'RIFF' && ascii(head, 8, 4) === 'WAVE') return 'a sound file (WAVE)'
  if (ascii(head, 0, 3) === 'ID3' || (head[0] === 0xff && ((head[1] ?? 0) & 0xe6) === 0xe2)) return 'a sound file (MP3)'
  if (ascii(head, 0, 4) === 'fLaC') return 'a sound file (FLAC)'
  if (ascii(head, 0, 5) === '%PDF-') return 'a PDF'
  if (ascii(head, 0, 2) === 'PK') return 'a zip archive'
  if (head.every((byte) => byte === 0)) return 'nothing but zero bytes'
  const printable = head.filter((byte) => byte >= 0x20 || byte === 9 || byte === 10 || byte === 13).length
  if (printable === head.length && isUtf8(head)) return 'text'
  return null
}

function isUtf8(head: Uint8Array): boolean {
  try {
    // The cut may fall inside a character, so the decoder is told that more may follow.
    new TextDecoder('utf-8', { fatal: true }).decode(head, { stream: true })
    return true
  } catch {
    return false
  }
}
