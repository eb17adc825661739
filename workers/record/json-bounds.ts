/** Longest text that is read as a record [characters]: 5 000 runs of 500 marks are about 150 million. */
export const mostCharacters = 200 * 1024 * 1024
/** A record nests nine deep at most. */
const deepest = 40
/** Lists and objects in the largest record that the schema allows: a few dozen a run, a view and a trial. */
const mostParts = 2_000_000

/**
 * Why a text cannot be a record, seen before it is parsed; undefined when it may be one. Each list and object costs a parser many times the
 * bytes it has in the text, so a small file could otherwise claim all memory.
 */
export function beyondBounds(text: string): string | undefined {
  if (text.length > mostCharacters) return `it has ${text.length} characters, ${mostCharacters} are the most`
  let depth = 0
  let parts = 0
  for (let i = 0; i < text.length; i++) {
    switch (text.charCodeAt(i)) {
      case 0x22: // "
        i = endOfString(text, i)
        break
      case 0x5b: // [
      case 0x7b: // {
        if (++depth > deepest) return `it nests deeper than ${deepest}`
        if (++parts > mostParts) return `it has more than ${mostParts} lists and objects`
        break
      case 0x5d: // ]
      case 0x7d: // }
        depth--
    }
  }
  return undefined
}

/** Index of the quote that ends the string which begins at `from`; the text's length when none does. */
function endOfString(text: string, from: number): number {
  for (let at = text.indexOf('"', from + 1); at >= 0; at = text.indexOf('"', at + 1)) {
    let escapes = 0
    while (text.charCodeAt(at - 1 - escapes) === 0x5c) escapes++
    if (escapes % 2 === 0) return at
  }
  return text.length
}
