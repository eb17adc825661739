/** Decoded pictures by frame number within a budget of bytes. Whoever is farthest from the centre of attention goes first. */
export class FrameCache<Picture extends { readonly buffer: ArrayBuffer }> {
  readonly #pictures = new Map<number, Picture>()
  #bytes = 0
  #centre = 0
  readonly budget_bytes: number
  readonly #onEvict: (picture: Picture) => void

  /** `onEvict` is told of each picture that goes. */
  constructor(budget_bytes: number, onEvict: (picture: Picture) => void = () => undefined) {
    this.budget_bytes = budget_bytes
    this.#onEvict = onEvict
  }

  get bytes(): number {
    return this.#bytes
  }
  get size(): number {
    return this.#pictures.size
  }

  /** Where attention is now: eviction keeps what lies near. */
  centre(frame: number): void {
    this.#centre = frame
  }

  has(frame: number): boolean {
    return this.#pictures.has(frame)
  }

  get(frame: number): Picture | undefined {
    return this.#pictures.get(frame)
  }

  /** Keeps a picture; evicts the farthest ones, possibly this very one, until the budget holds. One picture always stays. */
  put(frame: number, picture: Picture): void {
    const before = this.#pictures.get(frame)
    if (before !== undefined) this.#bytes -= before.buffer.byteLength
    this.#pictures.set(frame, picture)
    this.#bytes += picture.buffer.byteLength
    while (this.#bytes > this.budget_bytes && this.#pictures.size > 1) this.#evictFarthest()
  }

  clear(): void {
    for (const picture of this.#pictures.values()) this.#onEvict(picture)
    this.#pictures.clear()
    this.#bytes = 0
  }

  #evictFarthest(): void {
    let farthest = -1
    let distance = -1
    for (const frame of this.#pictures.keys()) {
      const d = Math.abs(frame - this.#centre)
      if (d > distance) {
        distance = d
        farthest = frame
      }
    }
    const gone = this.#pictures.get(farthest)
    this.#pictures.delete(farthest)
    if (gone === undefined) return
    this.#bytes -= gone.buffer.byteLength
    this.#onEvict(gone)
  }
}
