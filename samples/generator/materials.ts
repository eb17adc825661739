import { cloud3, noise3 } from './lattice-noise.ts'

/** Linear-light colour, 1 = a perfect white surface. */
export type Colour = readonly [number, number, number]

export type Material =
  | { readonly kind: 'plain'; readonly colour: Colour }
  | { readonly kind: 'wall'; readonly colour: Colour; readonly seed: number }
  | {
      readonly kind: 'wood'
      readonly light: Colour
      readonly dark: Colour
      /** Sawn wood shows the saw's marks across the grain, sanded wood only its fibres. */
      readonly finish: 'sawn' | 'sanded' | 'oiled'
      readonly seed: number
    }
  /** Dark blocks of equal length on white; the first block starts at `first_m`. */
  | { readonly kind: 'blocks'; readonly block_m: number; readonly margin_m: number; readonly size_m: number }
  /** A card quartered black and white, for a calibration corner. */
  | { readonly kind: 'quarters'; readonly size_m: number }
  /** Thin dark lines at equal arc length on a white tape; every fifth longer. */
  | { readonly kind: 'ticks'; readonly every_m: number; readonly line_m: number; readonly height_m: number }
  /** A letter on a paper tag, 5 × 7 cells. */
  | { readonly kind: 'letter'; readonly rows: readonly string[]; readonly width_m: number; readonly height_m: number }

const paper: Colour = [0.74, 0.72, 0.67]
const ink: Colour = [0.018, 0.018, 0.02]

const woods = {
  oak: { light: [0.47, 0.3, 0.155] as Colour, dark: [0.29, 0.16, 0.072] as Colour },
  beech: { light: [0.52, 0.335, 0.2] as Colour, dark: [0.39, 0.225, 0.118] as Colour },
  walnut: { light: [0.165, 0.088, 0.046] as Colour, dark: [0.075, 0.037, 0.02] as Colour },
  maple: { light: [0.6, 0.44, 0.28] as Colour, dark: [0.45, 0.3, 0.17] as Colour },
} as const

export function wood(kind: keyof typeof woods, finish: 'sawn' | 'sanded' | 'oiled', seed: number): Material {
  return { kind: 'wood', ...woods[kind], finish, seed }
}

const letters: Record<string, readonly string[]> = {
  A: ['.###.', '#...#', '#...#', '#####', '#...#', '#...#', '#...#'],
  B: ['####.', '#...#', '#...#', '####.', '#...#', '#...#', '####.'],
  C: ['.###.', '#...#', '#....', '#....', '#....', '#...#', '.###.'],
  D: ['####.', '#...#', '#...#', '#...#', '#...#', '#...#', '####.'],
}

export function letterTag(letter: string, width_m: number, height_m: number): Material {
  return { kind: 'letter', rows: letters[letter] ?? letters['A']!, width_m, height_m }
}

const smooth = (low: number, high: number, x: number): number => {
  const f = Math.min(1, Math.max(0, (x - low) / (high - low)))
  return f * f * (3 - 2 * f)
}

/** Colour of a material at a texture point [m], into `out`. */
export function albedo(material: Material, x: number, y: number, z: number, out: Float64Array): void {
  switch (material.kind) {
    case 'plain':
      return put(out, material.colour, 1)
    case 'wall': {
      // Roller-painted plaster: broad unevenness and a fine stipple.
      const broad = cloud3(x * 3, y * 3, z * 3, material.seed)
      const fine = noise3(x * 350, y * 350, z * 350, material.seed + 7)
      return put(out, material.colour, 0.95 + 0.07 * broad + 0.025 * fine)
    }
    case 'wood':
      return woodColour(material, x, y, z, out)
    case 'blocks': {
      const along = x - material.margin_m
      const dark =
        along >= 0 &&
        along < material.size_m - 2 * material.margin_m &&
        Math.floor(along / material.block_m) % 2 === 0 &&
        y > 0.005 &&
        y < 0.017
      return put(out, dark ? ink : paper, 1)
    }
    case 'quarters': {
      const m = material.size_m * 0.1
      const half = material.size_m / 2
      const inside = x > m && y > m && x < material.size_m - m && y < material.size_m - m
      return put(out, inside && x > half === y > half ? ink : paper, 1)
    }
    case 'ticks': {
      const index = Math.round(x / material.every_m)
      const long = index % 5 === 0
      const dark =
        Math.abs(x - index * material.every_m) < material.line_m / 2 && y < material.height_m * (long ? 0.85 : 0.55)
      return put(out, dark ? ink : paper, 1)
    }
    case 'letter': {
      const column = Math.floor((x / material.width_m) * 9) - 2
      const row = Math.floor((1 - y / material.height_m) * 11) - 2
      return put(out, material.rows[row]?.[column] === '#' ? ink : paper, 1)
    }
  }
}

function put(out: Float64Array, colour: Colour, factor: number): void {
  out[0] = colour[0] * factor
  out[1] = colour[1] * factor
  out[2] = colour[2] * factor
}

function woodColour(
  material: Extract<Material, { kind: 'wood' }>,
  x: number,
  y: number,
  z: number,
  out: Float64Array,
): void {
  const { seed } = material
  // Year rings: cylinders around a pith far outside the board, waved along the grain.
  const waveY = (noise3(x * 4, y * 14, z * 14, seed) - 0.5) * 0.014
  const waveZ = (noise3(x * 3, y * 14, z * 14, seed + 1) - 0.5) * 0.014
  const ring = Math.hypot(y + 0.11 + waveY, z + 0.07 + waveZ) / 0.0055
  const phase = ring - Math.floor(ring)
  // Pale early wood darkens slowly into late wood, then starts again sharply.
  const late = smooth(0.15, 0.85, phase) * (1 - smooth(0.9, 1, phase))
  const fibre = noise3(x * 45, y * 1400, z * 1400, seed + 2)
  const streak = noise3(x * 6, y * 260, z * 260, seed + 3)
  const pore = smooth(0.82, 0.95, noise3(x * 90, y * 1900, z * 1900, seed + 4))
  let dark = 0.12 + 0.55 * late + 0.3 * (streak - 0.5) + 0.18 * (fibre - 0.5)
  let shade = 1 - 0.22 * pore
  if (material.finish === 'sawn') {
    // A band saw leaves fine ridges across the grain, uneven in pitch and depth, and a rough greyish nap.
    const pitch = x / 0.0023 + 1.6 * noise3(x * 25, y * 30, z * 30, seed + 5)
    const ridge = 0.5 + 0.5 * Math.cos(2 * Math.PI * pitch)
    const depth = 0.35 + 0.65 * noise3(x * 60, y * 90, z * 90, seed + 6)
    shade *= 1 - 0.2 * ridge * depth + 0.1 * (noise3(x * 700, y * 900, z * 900, seed + 8) - 0.5)
    dark += 0.12
  }
  if (material.finish === 'oiled') dark += 0.1
  dark = Math.min(1, Math.max(0, dark))
  for (let i = 0; i < 3; i++) out[i] = (material.light[i]! + (material.dark[i]! - material.light[i]!) * dark) * shade
}
