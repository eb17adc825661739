/** How the outlines of a passage are read. */
export interface Reading {
  /** Rows that place the ball, in radii across from its centre: over the groove's lip, so that shadow and reflection stay out. */
  readonly rowsFrom: number
  readonly rowsTo: number
  /** From one row that serves to the next. */
  readonly every: number
  /** Sightings to learn from. */
  readonly sightings: number
  /** How much the brightness a ball usually shows binds a row, against what the row's own pixels say. */
  readonly binding: number
  /** Times that the ball's height is set anew so that the rows of an outline agree about its place. */
  readonly heightRounds: number
}

export const usualReading: Reading = {
  rowsFrom: -0.9,
  rowsTo: 0.3,
  every: 1,
  sightings: 28,
  binding: 2,
  heightRounds: 0,
}

/** Of a ball that what is behind it is seen through: the wall walks through its rim, so that a row's own brightness is worth less, and the guide shows
 *  below its middle. On rendered glass balls before fifteen walls the place scatters by .10 instead of .14 px, and is off by .007 instead of .021 px on
 *  average, by .030 instead of .038 at most. */
export const seenThrough: Reading = { ...usualReading, rowsTo: 0, sightings: 56, binding: 6, heightRounds: 3 }
