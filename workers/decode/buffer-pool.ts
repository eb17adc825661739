// Memory for decoded pictures, used again. Measured: fresh memory for every 1080p picture costs twice as much time as
// decoding it, since each page of it has to be cleared and mapped.

/** Memory kept for reuse at most: what a closed clip leaves, for the clip opened after it. */
const limit_bytes = 256 * 1024 * 1024
/** How long memory that nobody takes is kept. */
const patience_ms = 20_000

const own = new WeakSet<ArrayBuffer>()
const held = new Map<ArrayBuffer, number>()
const returned = new WeakSet<ArrayBuffer>()
const free = new Map<number, ArrayBuffer[]>()
let free_bytes = 0
let trimming: ReturnType<typeof setTimeout> | undefined

/** Memory of exactly this size; what stands in it is left over from before. */
export function takeBuffer(bytes: number): ArrayBuffer {
  const known = free.get(bytes)?.pop()
  if (known !== undefined) {
    free_bytes -= bytes
    return known
  }
  dropOthers(bytes)
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

/** Pictures of another size than is asked for make room, byte for byte. */
function dropOthers(bytes: number): void {
  let dropped = 0
  for (const [size, shelf] of free) {
    while (size !== bytes && dropped < bytes && shelf.pop() !== undefined) dropped += size
  }
  free_bytes -= dropped
}

function trimLater(): void {
  clearTimeout(trimming)
  trimming = setTimeout(() => {
    free.clear()
    free_bytes = 0
  }, patience_ms)
}

function reuse(buffer: ArrayBuffer): void {
  if (!returned.has(buffer) || held.has(buffer)) return
  returned.delete(buffer)
  if (free_bytes + buffer.byteLength > limit_bytes) return
  const shelf = free.get(buffer.byteLength) ?? []
  shelf.push(buffer)
  free.set(buffer.byteLength, shelf)
  free_bytes += buffer.byteLength
  trimLater()
}
