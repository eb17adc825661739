/**
 * The id of a source that no person stated but that follows from the record itself (the noise of placing a point): its parts joined by `_`,
 * at most 64 characters. Parts that contain `_` themselves, or are too long together, get a digest, so that two different lists of parts
 * never share an id.
 */
export function sourceId(...parts: readonly string[]): string {
  const plain = parts.join('_')
  if (plain.length <= 64 && !parts.some((part) => part.includes('_'))) return plain
  return `${plain.slice(0, 47)}_${digest(parts.join('\u0000'))}`
}

/** FNV-1a, 64 bits, as 16 hex digits. Source: Fowler, Noll, Vo; offset basis and prime from IETF draft-eastlake-fnv. */
function digest(text: string): string {
  let hash = 0xcbf29ce484222325n
  for (let i = 0; i < text.length; i++) {
    hash ^= BigInt(text.charCodeAt(i))
    hash = (hash * 0x100000001b3n) & 0xffffffffffffffffn
  }
  return hash.toString(16).padStart(16, '0')
}
