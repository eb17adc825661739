/** A material that balls are made of: density [kg/m³], with where the number comes from. Weigh the ball where it matters. */
export interface BallMaterial {
  readonly name: string
  readonly density_kg_m3: number
  /** Half width [kg/m³] of what the name covers. */
  readonly spread_kg_m3: number
  readonly source: string
}

const commonPractice = 'common practice, no source'

/** Materials of balls that run on lanes. */
export const ballMaterials: readonly BallMaterial[] = [
  {
    name: 'bearing steel',
    density_kg_m3: 7830,
    spread_kg_m3: 30,
    source: 'ball makers’ tables: 7.83 g/cm³ for 100Cr6',
  },
  { name: 'stainless steel', density_kg_m3: 7700, spread_kg_m3: 80, source: commonPractice },
  {
    name: 'glass',
    density_kg_m3: 2500,
    spread_kg_m3: 80,
    source: 'ball makers’ tables: 2.5 g/cm³ for soda-lime glass',
  },
  { name: 'brass', density_kg_m3: 8470, spread_kg_m3: 80, source: commonPractice },
  { name: 'aluminium', density_kg_m3: 2710, spread_kg_m3: 40, source: commonPractice },
  { name: 'tungsten carbide', density_kg_m3: 14900, spread_kg_m3: 200, source: commonPractice },
  { name: 'silicon nitride', density_kg_m3: 3230, spread_kg_m3: 40, source: commonPractice },
  { name: 'zirconia', density_kg_m3: 6000, spread_kg_m3: 80, source: commonPractice },
  { name: 'acetal (POM)', density_kg_m3: 1410, spread_kg_m3: 20, source: commonPractice },
  { name: 'polyamide', density_kg_m3: 1140, spread_kg_m3: 20, source: commonPractice },
  { name: 'acrylic', density_kg_m3: 1185, spread_kg_m3: 15, source: commonPractice },
  { name: 'rubber', density_kg_m3: 1200, spread_kg_m3: 150, source: commonPractice },
  { name: 'beech', density_kg_m3: 720, spread_kg_m3: 60, source: commonPractice },
]

/** A diameter that balls are sold in [m]; inch sizes carry the fraction of an inch. */
export interface StandardDiameter {
  readonly diameter_m: number
  readonly label: string
}

const INCH_M = 0.0254
const metric = (mm: number): StandardDiameter => ({ diameter_m: mm / 1000, label: `${mm} mm` })
const inch = (fraction: string, inches: number): StandardDiameter => ({
  diameter_m: inches * INCH_M,
  label: `${Number((inches * 25.4).toFixed(4))} mm (${fraction} in)`,
})

/** Nominal diameters of balls, smallest first. Source: nominal diameters of ISO 3290-1 as listed by ball makers; 14, 22 and
 *  25 mm also as glass marbles (common practice, no source). */
export const standardDiameters: readonly StandardDiameter[] = [
  metric(3),
  metric(4),
  inch('3/16', 3 / 16),
  metric(5),
  metric(6),
  inch('1/4', 1 / 4),
  metric(7),
  inch('5/16', 5 / 16),
  metric(8),
  metric(9),
  inch('3/8', 3 / 8),
  metric(10),
  inch('7/16', 7 / 16),
  metric(12),
  inch('1/2', 1 / 2),
  metric(14),
  inch('9/16', 9 / 16),
  metric(15),
  inch('5/8', 5 / 8),
  metric(16),
  inch('11/16', 11 / 16),
  metric(18),
  inch('3/4', 3 / 4),
  metric(20),
  metric(22),
  inch('7/8', 7 / 8),
  metric(25),
  inch('1', 1),
  metric(30),
]
