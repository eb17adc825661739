/** Memory in pages of one size that searches of this thread use one after the other: a page that the system has to find anew costs more
 *  than the pixels that are written to it. */

export const PAGE_BYTES = 2 ** 20
/** So many pages wait for the next search at most. */
const KEPT = 32
const idle: ArrayBuffer[] = []

/** A page, or more than one where more is asked for. What it holds is left over from before. */
function takePage(bytes: number): ArrayBuffer {
  return (bytes <= PAGE_BYTES ? idle.pop() : undefined) ?? new ArrayBuffer(Math.max(bytes, PAGE_BYTES))
}

/** Takes back a page that nobody reads or writes any more. */
function givePage(page: ArrayBuffer): void {
  if (page.byteLength === PAGE_BYTES && idle.length < KEPT) idle.push(page)
}

/** Cells of a lane's band cut from pages, one piece after the other. */
export class PageCutter {
  private readonly wide: boolean
  private readonly pages: ArrayBuffer[] = []
  private current: Uint8Array | Uint16Array | undefined
  private used = 0

  constructor(wide: boolean) {
    this.wide = wide
  }

  get bytes(): number {
    return this.pages.reduce((sum, page) => sum + page.byteLength, 0)
  }

  /** Room for `cells` in one piece: the array that holds it, and where it starts there. */
  cut(cells: number): { data: Uint8Array | Uint16Array; start: number } {
    if (!this.current || this.used + cells > this.current.length) {
      const page = takePage(cells * (this.wide ? 2 : 1))
      this.pages.push(page)
      this.current = this.wide ? new Uint16Array(page) : new Uint8Array(page)
      this.used = 0
    }
    const start = this.used
    this.used += cells
    return { data: this.current, start }
  }

  /** Gives all pages back. Nothing that was cut may be used afterwards. */
  release(): void {
    for (const page of this.pages) givePage(page)
    this.pages.length = 0
    this.current = undefined
  }
}
