import type { Px } from '../../workers/record/index.ts'
import type { Handle } from './hit.ts'

/** How a lane is told apart everywhere: colour and dash together, with its letter. */
export interface Stroke {
  readonly colour: string
  /** Dash pattern of an SVG stroke; undefined for a solid line. */
  readonly dash?: string | undefined
}

/** A millimetre tick from its edge or lane outwards, both ends in picture px. */
export interface Tick {
  readonly a: Px
  readonly b: Px
  readonly label?: string
}

/** What is drawn over the footage. Points are picture px; sizes of crosses, rings and ticks are CSS px, so that they stay fine at every zoom. */
export type OverlayItem =
  | {
      readonly kind: 'line'
      readonly id: string
      readonly points: readonly Px[]
      readonly stroke: Stroke
      readonly letter?: string
      readonly strong?: boolean
    }
  | { readonly kind: 'bar'; readonly id: string; readonly a: Px; readonly b: Px; readonly label: string }
  | {
      readonly kind: 'outline'
      readonly id: string
      readonly corners: readonly Px[]
      readonly labels: readonly string[]
    }
  /** From where a point was placed to where it is wanted, as long as they are to be drawn. */
  | {
      readonly kind: 'arrows'
      readonly id: string
      readonly arrows: readonly { readonly a: Px; readonly b: Px }[]
      readonly colour: string
    }
  | { readonly kind: 'ticks'; readonly id: string; readonly ticks: readonly Tick[]; readonly colour: string }
  | {
      readonly kind: 'crosses'
      readonly id: string
      readonly points: readonly Px[]
      readonly colour: string
      readonly found: boolean
    }
  | {
      readonly kind: 'dots'
      readonly id: string
      readonly points: readonly Px[]
      readonly colour: string
      /** Found by the tool: drawn finer than what a hand placed. */
      readonly found?: boolean
    }
  /** Places that want a look: a small flag stands over each. */
  | { readonly kind: 'flags'; readonly id: string; readonly points: readonly Px[]; readonly colour: string }
  | {
      readonly kind: 'ring'
      readonly id: string
      readonly at: Px
      readonly radius_px: number
      readonly colour: string
      readonly label: string
    }

/** What the picture is for at this moment: what pressing on it does, and which points can be taken. */
export interface PictureTool {
  /** One sentence: what a press places now, or what can be moved. Read aloud and shown. */
  readonly says: string
  /** Present while a press on the picture places something. `exact`: exactly where pressed (Alt held). */
  readonly place?: ((at: Px, how: { readonly exact: boolean }) => void) | undefined
  /** Present while dragging over the picture draws a box; a press without a drag still places. Corners in the order they were drawn. */
  readonly sweep?: ((from: Px, to: Px) => void) | undefined
  /** Where the loupe starts when it is taken up with a key: the expected place. */
  readonly begin?: Px | undefined
  readonly handles: readonly PictureHandle[]
  readonly onSelect?: (handle: string) => void
  /** `exact`: exactly there (Alt held, or moved by keys). */
  readonly onDrop?: (handle: string, to: Px, how: { readonly exact: boolean }) => void
  readonly onDelete?: (handle: string) => void
  /** Escape with the loupe put away. */
  readonly onCancel?: (() => void) | undefined
}

export interface PictureHandle extends Handle {
  readonly colour: string
  readonly selected?: boolean
  /** Found by the tool and not touched since: drawn thinner. */
  readonly found?: boolean
}

export const idleTool: PictureTool = { says: '', handles: [] }

/** Placed points keep a hundredth of a pixel: finer than anything that can be seen, short in the file. */
export const hundredth = (at: Px): Px => ({ x: Math.round(at.x * 100) / 100, y: Math.round(at.y * 100) / 100 })
