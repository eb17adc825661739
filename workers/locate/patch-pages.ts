/** A run of strip columns of one frame: cell (c, k) lies at `data[base + c·rows + k]` for from ≤ c < to. */
export interface Window {
  readonly data: Uint8Array | Uint16Array
  readonly base: number
  readonly from: number
  readonly to: number
}

const PAGE_CELLS = 2 ** 20

/** Windows of many frames, packed into pages that are used again after they have been let go. */
export class PatchPages {
  private readonly wide: boolean
  private readonly rows: number
  private free: (Uint8Array | Uint16Array)[] = []
  private pages: (Uint8Array | Uint16Array)[] = []
  private used = PAGE_CELLS
  private byFrame: Window[][] = []

  constructor(rows: number, wide: boolean) {
    this.rows = rows
    this.wide = wide
  }

  get bytes(): number {
    return this.pages.length * PAGE_CELLS * (this.wide ? 2 : 1)
  }

  /** Begins the next frame. */
  nextFrame(): void {
    this.byFrame.push([])
  }

  /** Room for the columns from … to of the frame begun last; the caller fills `data` from `start`. */
  claim(from: number, to: number): { data: Uint8Array | Uint16Array; start: number } {
    const cells = (to - from) * this.rows
    let page = this.pages[this.pages.length - 1]
    if (!page || this.used + cells > page.length) {
      const size = Math.max(PAGE_CELLS, cells)
      page = this.free.pop()
      if (!page || page.length < size) page = this.wide ? new Uint16Array(size) : new Uint8Array(size)
      this.pages.push(page)
      this.used = 0
    }
    const start = this.used
    this.used += cells
    this.byFrame[this.byFrame.length - 1]!.push({ data: page, base: start - from * this.rows, from, to })
    return { data: page, start }
  }

  /** All windows kept of a frame, rising, disjoint. */
  windows(frame: number): readonly Window[] {
    return this.byFrame[frame] ?? []
  }

  /** The window of a frame that holds a column, if it was kept. */
  window(frame: number, column: number): Window | undefined {
    for (const window of this.byFrame[frame] ?? []) if (column >= window.from && column < window.to) return window
    return undefined
  }

  /** Lets go of all frames before `from`, which becomes frame 0. */
  dropBefore(from: number): void {
    const kept = this.byFrame.slice(from)
    const old = this.pages
    this.pages = []
    this.used = PAGE_CELLS
    this.byFrame = []
    for (const windows of kept) {
      this.nextFrame()
      for (const { data, base, from: first, to } of windows) {
        const { data: into, start } = this.claim(first, to)
        into.set(data.subarray(base + first * this.rows, base + to * this.rows), start)
      }
    }
    this.free.push(...old)
  }
}
