import { strFromU8 } from 'fflate'

export type Encoding = 'utf-8' | 'utf-16' | 'windows-1252'

/** Text of a file of unknown encoding: UTF-16 by its byte order mark, else UTF-8 where it is valid, else the old Western one. Marks are dropped. */
export function decodeText(bytes: Uint8Array): { readonly text: string; readonly encoding: Encoding } {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return { text: utf16(bytes, 0), encoding: 'utf-16' }
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return { text: utf16(bytes, 1), encoding: 'utf-16' }
  const marked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf
  const text = strFromU8(marked ? bytes.subarray(3) : bytes)
  if (!text.includes('\uFFFD')) return { text: text.replace(/^\uFEFF/, ''), encoding: 'utf-8' }
  // Digits, signs and ASCII letters are all that columns of numbers need; the rest only shows in names.
  return { text: strFromU8(bytes, true), encoding: 'windows-1252' }
}

/** `high`: which of two bytes is the upper one. */
function utf16(bytes: Uint8Array, high: 0 | 1): string {
  const pieces: string[] = []
  const atOnce = 8192
  for (let start = 2; start + 1 < bytes.length; start += 2 * atOnce) {
    const units: number[] = []
    for (let i = start; i + 1 < bytes.length && units.length < atOnce; i += 2)
      units.push(high === 0 ? bytes[i]! | (bytes[i + 1]! << 8) : (bytes[i]! << 8) | bytes[i + 1]!)
    pieces.push(String.fromCharCode(...units))
  }
  return pieces.join('')
}
