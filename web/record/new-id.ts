const alphabet = '0123456789abcdefghjkmnpqrstvwxyz'

/** A fresh id: 16 letters and digits, 80 bits of chance. */
export function newId(prefix = ''): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  return prefix + Array.from(bytes, (byte) => alphabet[byte & 31]).join('')
}
