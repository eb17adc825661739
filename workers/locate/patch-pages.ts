import { PageCutter } from './page-pool.ts'

/** A run of strip columns of one frame: cell (c, k) lies at `data[base + c·rows + k]` for from ≤ c < to. */
export interface Window {
  readonly data: Uint8Array | Uint16Array
  readonly base: number
  readonly from: number
  readonly to: number
}

/** Windows of many frames, packed into pages. */
export class PatchPages {
  private readonly wide: boolean
  private readonly rows: number
  private pages: PageCutter
  private byFrame: Window[][] = []

  constructor(rows: number, wide: boolean) {
    this.rows = rows
    this.wide = wide
    this.pages = new PageCutter(wide)
  }

  get bytes(): number {
    return this.pages.bytes
  }

  /** Begins the next frame. */
  nextFrame(): void {
    this.byFrame.push([])
  }

  /** Room for the columns from … to of the frame begun last; the caller fills `data` from `start`. */
  claim(from: number, to: number): { data: Uint8Array | Uint16Array; start: number } {
    const room = this.pages.cut((to - from) * this.rows)
    this.byFrame[this.byFrame.length - 1]!.push({ data: room.data, base: room.start - from * this.rows, from, to })
    return room
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
    this.pages = new PageCutter(this.wide)
    this.byFrame = []
    for (const windows of kept) {
      this.nextFrame()
      for (const { data, base, from: first, to } of windows) {
        const { data: into, start } = this.claim(first, to)
        into.set(data.subarray(base + first * this.rows, base + to * this.rows), start)
      }
    }
    old.release()
  }

  /** Gives the memory back. */
  release(): void {
    this.byFrame = []
    this.pages.release()
  }
}
