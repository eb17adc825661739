const known: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file or folder',
  EACCES: 'not allowed',
  EPERM: 'not allowed',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of its path is no folder',
  EEXIST: 'a file of that name is in the way',
  ENOSPC: 'the disk is full',
  EROFS: 'the disk cannot be written to',
}

/** Why a file could not be read or written, for the brackets of a sentence. */
export function reasonOf(cause: unknown): string {
  if (!(cause instanceof Error)) return String(cause)
  const code = 'code' in cause && typeof cause.code === 'string' ? cause.code : ''
  return known[code] ?? cause.message.replace(/\.$/, '')
}
