/** A plot as data: what is drawn, in the units that are shown, and said beside it. Nothing here knows plotly. */
export interface Figure {
  /** Name of files made from it, and its name for screen readers. */
  readonly name: string
  /** The small caption above: “position, mm against s”. It names both axes. */
  readonly caption: string
  readonly x: AxisOf
  readonly y: AxisOf
  readonly curves: readonly Curve[]
  readonly bands?: readonly Band[]
  readonly lines?: readonly RuledLine[]
  readonly notes?: readonly FigureNote[]
}

export interface AxisOf {
  /** Column head of the table: “time”. */
  readonly label: string
  readonly unit: string
  /** Significant digits in the table. */
  readonly digits?: number
  readonly range?: readonly [number, number]
  readonly log?: boolean
  /** At most so many ticks; few unless said. */
  readonly ticks?: number
  /** Names in place of numbers, from the first up: for rows of bars or points. */
  readonly names?: readonly string[]
  /** False: no line, no ticks. */
  readonly drawn?: boolean
}

/** Colour by meaning, never by value: a lane's own (by its place in the alphabet), or one of the page's. */
export type Ink = { readonly lane: number } | 'ink' | 'quiet' | 'accent' | 'caution' | 'line'

export interface Curve {
  /** Column head of the table, and the name in what hovering tells. */
  readonly name: string
  /**
   * `steps`: level to the next place, then up or down (a staircase). `treads`: the same without risers; x holds the edges, one more than
   * there are levels, the last y repeats the one before. `rows`: x measured, y the row.
   */
  readonly kind: 'line' | 'points' | 'line-and-points' | 'steps' | 'treads' | 'bars' | 'rows'
  readonly x: readonly number[]
  readonly y: readonly number[]
  /** Half widths of an interval drawn about each point, along y (for `rows`: along x). */
  readonly U?: readonly number[]
  /** Ends of an interval that is not even; goes before `U`. */
  readonly low?: readonly number[]
  readonly high?: readonly number[]
  /** Interval as a band behind the curve instead of bars. */
  readonly asBand?: boolean
  readonly ink: Ink
  /** SVG dash list (`8 4`); the lane's own, as on the picture. */
  readonly dash?: string | undefined
  readonly width?: number
  readonly size?: number
  /** Open marks for what was made by hand or left out. */
  readonly open?: boolean
  /** Written beside the last point (or the point named), in the curve's colour: in place of a legend. */
  readonly direct?: string
  readonly directAt?: number
  /** Left out of the table: a line that only guides the eye. */
  readonly guide?: boolean
}

/** A region of the plot: a slow spot, a window. */
export interface Band {
  readonly x?: readonly [number, number]
  readonly y?: readonly [number, number]
  readonly ink: 'caution' | 'accent' | 'quiet'
  readonly says?: string
}

/** A straight line right across: a limit, a zero. */
export interface RuledLine {
  readonly x?: number
  readonly y?: number
  readonly ink: Ink
  readonly dash?: string
  readonly says?: string
}

export interface FigureNote {
  readonly x: number
  readonly y: number
  readonly text: string
  readonly ink?: Ink
  readonly place?: 'above' | 'below' | 'left' | 'right'
}
