// Memory for decoded pictures, used again. Measured: fresh memory for every 1080p picture costs twice as much time as
// decoding it, since each page of it has to be cleared and mapped.

/** Memory kept for reuse at most. */
const limit_bytes = 64 * 1024 * 1024

const own = new WeakSet<ArrayBuffer>()
const held = new Map<ArrayBuffer, number>()
const returned = new WeakSet<ArrayBuffer>()
const free = new Map<number, ArrayBuffer[]>()
let free_bytes = 0

/** Memory of exactly this size; what stands in it is left over from before. */
export function takeBuffer(bytes: number): ArrayBuffer {
  const known = free.get(bytes)?.pop()
  if (known !== undefined) {
    free_bytes -= bytes
    return known
  }
  const made = new ArrayBuffer(bytes)
  own.add(made)
  return made
}

/** Says that nobody will ask for this memory again. It is used again once whoever was just given it has finished reading
 *  (one turn of the event loop), and not before the last hold on it ends. Memory from elsewhere is left alone. */
export function giveBuffer(buffer: ArrayBuffer): void {
  if (!own.has(buffer)) return
  returned.add(buffer)
  if (!held.has(buffer)) setTimeout(() => reuse(buffer))
}

/** Keeps memory from being used again, until `releaseBuffer`. */
export function holdBuffer(buffer: ArrayBuffer): void {
  held.set(buffer, (held.get(buffer) ?? 0) + 1)
}

export function releaseBuffer(buffer: ArrayBuffer): void {
  const holds = (held.get(buffer) ?? 0) - 1
  if (holds > 0) held.set(buffer, holds)
  else {
    held.delete(buffer)
    if (returned.has(buffer)) setTimeout(() => reuse(buffer))
  }
}

function reuse(buffer: ArrayBuffer): void {
  if (!returned.has(buffer) || held.has(buffer)) return
  returned.delete(buffer)
  if (free_bytes + buffer.byteLength > limit_bytes) return
  const shelf = free.get(buffer.byteLength) ?? []
  shelf.push(buffer)
  free.set(buffer.byteLength, shelf)
  free_bytes += buffer.byteLength
}
