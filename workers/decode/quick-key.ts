import { createXXHash128, createSHA256 } from 'hash-wasm'

/** Bytes of either end that enter the quick key. */
const endBlock_bytes = 64 * 1024
/** Bytes hashed per read of the whole file: large enough to be quick, small enough to show progress and stop. */
const hashBlock_bytes = 4 * 1024 * 1024

/** A key of a file from its size and both end blocks: the same bytes give the same key, and it is there at once.
 *  It does not prove identity (`contentHash` does); it finds the file a record speaks of. */
export async function quickKey(files: readonly Blob[]): Promise<string> {
  const hash = await createXXHash128()
  hash.init()
  for (const file of files) {
    hash.update(`${file.size};`)
    hash.update(await bytesOf(file.slice(0, endBlock_bytes)))
    if (file.size > endBlock_bytes) {
      hash.update(await bytesOf(file.slice(Math.max(endBlock_bytes, file.size - endBlock_bytes))))
    }
  }
  return `q1-${hash.digest('hex')}`
}

/** SHA-256 of the bytes of one file, or of several in order, as hex. Rejects with the signal's reason when aborted. */
export async function contentHash(
  files: readonly Blob[],
  signal: AbortSignal,
  onFraction: (fraction: number) => void,
): Promise<string> {
  const total = files.reduce((sum, file) => sum + file.size, 0)
  const hash = await createSHA256()
  hash.init()
  let done = 0
  for (const file of files) {
    for (let at = 0; at < file.size; at += hashBlock_bytes) {
      signal.throwIfAborted()
      const block = await bytesOf(file.slice(at, at + hashBlock_bytes))
      hash.update(block)
      done += block.length
      onFraction(done / total)
    }
  }
  return hash.digest('hex')
}

const bytesOf = async (blob: Blob): Promise<Uint8Array> => new Uint8Array(await blob.arrayBuffer())
