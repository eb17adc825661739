/** A typical run that the percentages refer to. */
export const typicalRun = { speed_m_s: 0.5, acceleration_m_s2: 0.14, distance_m: 1, length_m: 0.8, crr: 0.009 } as const

export interface FilmingPoint {
  readonly id: string
  readonly do: string
  readonly because: string
  /** Relative error that the point avoids, and of what. */
  readonly avoids: { readonly percent: number; readonly of: 'v' | 'a' | 'C_rr' | 'the scatter' }
}

const { speed_m_s: v, acceleration_m_s2: a, distance_m: D, crr: c } = typicalRun

const percent = (share: number): number => Math.abs(share) * 100

/** Acceleration that a camera turned from square by this angle feigns [m/s²]: −2v² sin φ / D. Source: pinhole projection, second order in time. */
export const yawFeigns_m_s2 = (yaw_rad: number, speed_m_s: number, camera_m: number): number =>
  (-2 * speed_m_s ** 2 * Math.sin(yaw_rad)) / camera_m

/** Scale error of a lane that lies nearer than its bar: d / (D − d). Source: similar triangles. */
export const nearerFeigns = (nearer_m: number, camera_m: number): number => nearer_m / (camera_m - nearer_m)

/** Relative errors of v and a when a rolling shutter reads `read_s` across a field of `field_m` along the motion: 1/(1 − vκ), 1/(1 − vκ)³. */
export function shutterFeigns(speed_m_s: number, read_s: number, field_m: number): { v: number; a: number } {
  const q = 1 - (speed_m_s * read_s) / field_m
  return { v: 1 / q - 1, a: 1 / q ** 3 - 1 }
}

/** Acceleration that uncorrected lens curvature feigns half a field away from the axis [m/s²]: 6 k₁ X v²/D², k₁ in units of the distance. */
export const lensFeigns_m_s2 = (k1: number, off_m: number, speed_m_s: number, camera_m: number): number =>
  (6 * k1 * off_m * speed_m_s ** 2) / camera_m ** 2

const degree = Math.PI / 180
const shutter = shutterFeigns(v, 0.008, 0.5)

/** What to do while filming, and what is lost otherwise, for the typical run. */
export const filmingPoints: readonly FilmingPoint[] = [
  {
    id: 'rate',
    do: 'Note the frames per second the camera films at, not those the file plays at.',
    because:
      'A clip filmed at 240 and taken for 30 shows an eighth of the speed and a sixty-fourth of the acceleration.',
    avoids: { percent: percent(1 - (30 / 240) ** 2), of: 'a' },
  },
  {
    id: 'level',
    do: 'Measure the heights of both ends, or turn the inclinometer end for end and take the mean.',
    because: 'A tenth of a degree is worth as much as a good part of the resistance itself.',
    avoids: { percent: percent(Math.tan(0.1 * degree) / c), of: 'C_rr' },
  },
  {
    id: 'square',
    do: 'Stand the camera square to the lane, at least a metre away.',
    because: 'Turned by 2°, a lane seems to speed up or slow down although the ball does not.',
    avoids: { percent: percent(yawFeigns_m_s2(2 * degree, v, D) / a), of: 'a' },
  },
  {
    id: 'centred',
    do: 'Keep the run in the middle of the picture.',
    because:
      'Lenses bend straight lines most at the edge; half a field away from the axis that looks like acceleration.',
    avoids: { percent: percent(lensFeigns_m_s2(-0.05, 0.2, v, D) / a), of: 'a' },
  },
  {
    id: 'in-plane',
    do: 'Put the bar, or better a rectangle, where the ball\u2019s centre runs: as far from the camera as the lane.',
    because: 'A bar 5 mm behind the ball makes everything half a percent too large.',
    avoids: { percent: percent(nearerFeigns(0.005, D)), of: 'v' },
  },
  {
    id: 'landscape',
    do: 'Film with the sensor rows along the lane (most phones: held level).',
    because: `A sensor read across the motion in 8 ms shows the ball ${percent(shutter.v).toFixed(1)} % too fast.`,
    avoids: { percent: percent(shutter.a), of: 'a' },
  },
  {
    id: 'still',
    do: 'Fix the camera; switch zoom, stabilisation and automatic focus off.',
    because: 'A picture that creeps by 1 mm over a run of 0.8 m moves the speed as much.',
    avoids: { percent: percent(0.001 / 0.8), of: 'v' },
  },
  {
    id: 'short-exposure',
    do: 'Expose 1/1000 s or shorter, with light that does not flicker.',
    because: 'At 1/240 s the ball smears over 2 mm and its edges are hard to place; the middle stays true.',
    // Smear v·t at 1/240 against 1/1000 s.
    avoids: { percent: percent(1 - 240 / 1000), of: 'the scatter' },
  },
  {
    id: 'matt',
    do: 'Use a matt ball, or mark its outline\u2019s centre and never the bright spot on it.',
    because: 'The bright spot of a 16 mm ball under a lamp half a metre away runs slower than the ball.',
    // ½R(1/D + 1/D_lamp), R = 8 mm, lamp at 0.5 m. Source: reflection in a convex mirror.
    avoids: { percent: percent(0.5 * 0.008 * (1 / D + 1 / 0.5)), of: 'v' },
  },
  {
    id: 'five',
    do: 'Film five runs the same way, wiping ball and lane, and leave the first out.',
    because: 'Two runs can only guess at their own scatter; five know it.',
    // t(0.975, n − 1)/√n: 12.706/√2 against 2.776/√5. Source: Student, t table.
    avoids: { percent: percent(1 - 2.7764 / Math.sqrt(5) / (12.7062 / Math.sqrt(2))), of: 'the scatter' },
  },
]
