import type { Damage, Refusal } from './clip-facts.ts'

/** What is wrong with a source that did not open, which value shows it, and what to do. */
export function refusalSentence(refusal: Refusal): string {
  switch (refusal.kind) {
    case 'empty-file':
      return `“${refusal.name}” is empty (0 bytes). Copy it from the camera again.`
    case 'not-a-video':
      return `“${refusal.name}” is not a video: its first bytes look like ${refusal.looksLike}. Choose the clip as the camera saved it (MP4, MOV, AVI, MKV, WebM, GIF) or numbered PNG or JPEG stills.`
    case 'no-video-track':
      return `“${refusal.name}” (${refusal.container}) holds sound but no picture. Choose a file with a video track.`
    case 'damaged-no-index':
      return `“${refusal.name}” (${refusal.container}, ${megabytes(refusal.size_bytes)}) has lost the index of its frames, as happens when a recording or a copy is cut off. Copy it again from the camera; if it is broken there too, the frames cannot be found.`
    case 'no-frames':
      return `No frame of “${refusal.name}” (${refusal.codec}) can be decoded. Copy it from the camera again, or save it as H.264 in MP4.`
    case 'no-decoder':
      return `“${refusal.name}” is coded as ${refusal.codec}, which neither ${refusal.tried.join(' nor ')} can decode here. Save it as H.264 in MP4 with the same frames, without changing the rate.`
    case 'stills-unnumbered':
      return `The stills cannot be put in order: “${refusal.name}” and the others need one number each in their names, such as shot_0001.png, shot_0002.png.`
    case 'unreadable':
      return `“${refusal.name}” could not be read (${refusal.cause}). Check that the file still lies where it was and choose it again.`
    case 'cancelled':
      return 'Opening was cancelled; nothing has changed.'
  }
}

/** Damage as the decoding code counts it, before it is put into words. */
export type DamageCount =
  | { readonly kind: 'cut-off'; readonly indexed: number; readonly usable: number }
  | { readonly kind: 'damaged-end'; readonly usable: number }
  | { readonly kind: 'damaged-data'; readonly firstFrame: number }
  | { readonly kind: 'damaged-times'; readonly packets: number }
  | { readonly kind: 'missing-stills'; readonly missing: readonly number[] }

/** The damage with its sentence. */
export function describeDamage(count: DamageCount): Damage {
  switch (count.kind) {
    case 'cut-off':
      return {
        ...count,
        sentence: `The file is cut off: it lists ${count.indexed} frames, ${count.usable} of them are there and can be used. Copy it again from the camera to get the rest.`,
      }
    case 'damaged-end':
      return {
        ...count,
        sentence: `The end of the file is damaged: ${count.usable === 1 ? 'one frame is' : `${count.usable} frames are`} there and can be used, and more may have been lost behind them. If some are missing, copy it again from the camera.`,
      }
    case 'damaged-data':
      return {
        ...count,
        sentence: `The data of this clip is damaged, first seen at frame ${count.firstFrame}. Damaged frames are left out or patched over and marked doubtful: do not measure on them, or copy the file again.`,
      }
    case 'damaged-times':
      return {
        ...count,
        sentence: `${count.packets === 1 ? 'One frame carries a time' : `${count.packets} frames carry times`} that cannot be true and ${count.packets === 1 ? 'was' : 'were'} left out. Check the intervals before you trust the timestamps, or copy the file again.`,
      }
    case 'missing-stills':
      return {
        ...count,
        sentence: `${count.missing.length === 1 ? 'Still' : `${count.missing.length} stills:`} number ${listed(count.missing)} ${count.missing.length === 1 ? 'is' : 'are'} missing from the sequence. The others keep their place in time; the gap holds no picture.`,
      }
  }
}

function listed(numbers: readonly number[]): string {
  const shown = numbers.slice(0, 6).join(', ')
  return numbers.length > 6 ? `${shown} and ${numbers.length - 6} more` : shown
}

/** Why a decoder serves a clip. */
export type DecoderWhy =
  | { readonly kind: 'browser' }
  | { readonly kind: 'prores' }
  | { readonly kind: 'images'; readonly what: 'motion JPEG' | 'GIF' | 'stills' }
  | { readonly kind: 'no-browser-demuxer'; readonly container: string }
  | { readonly kind: 'no-browser-decoder'; readonly codec: string }
  | { readonly kind: 'broken-structure'; readonly container: string }
  | { readonly kind: 'browser-gave-up'; readonly frame: number }

export function decoderReason(why: DecoderWhy): string {
  switch (why.kind) {
    case 'browser':
      return 'Decoded by the browser itself (WebCodecs): the quickest way.'
    case 'prores':
      return 'Decoded by a ProRes decoder that comes with the tool; browsers have none.'
    case 'images':
      return `Every frame is an image of its own (${why.what}) and is decoded as one by the browser.`
    case 'no-browser-demuxer':
      return `Decoded by ffmpeg compiled for the browser, because browsers do not open ${why.container} files. Slower, but exact to the frame.`
    case 'no-browser-decoder':
      return `Decoded by ffmpeg compiled for the browser, because this browser has no decoder for ${why.codec}. Slower, but exact to the frame.`
    case 'broken-structure':
      return `Decoded by ffmpeg compiled for the browser, because the structure of this ${why.container} file is damaged or unusual. A turn or a filming rate noted in the file may be lost: check both.`
    case 'browser-gave-up':
      return `Decoded by ffmpeg compiled for the browser, because the browser’s own decoder stopped at damaged data near frame ${why.frame}.`
  }
}

/** Said instead of trying ffmpeg in a build that leaves it out. */
export const withoutFfmpeg = 'ffmpeg (left out of this build)'

/** Shown in place of a frame that no decoder can bring. */
export function failedFrame(name: string, frame: number, cause: string): string {
  return `Frame ${frame} of “${name}” could not be decoded (${cause}). Other frames may still be there; your record is safe.`
}

/** Shown when the decoding thread died and could not be brought back. */
export function lostThread(name: string): string {
  return `Decoding of “${name}” stopped and could not be started again, most likely for lack of memory or because the file is damaged. Your record is safe; close other tabs and open the clip again, and if that does not help, copy it from the camera again.`
}

const megabytes = (bytes: number): string => `${(bytes / 1e6).toPrecision(3)} MB`
