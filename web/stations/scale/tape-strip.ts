/**
 * A tape of ticks as a page that prints at true scale: A4, pieces one above the other, to be cut and glued end to end along the lane. All
 * measures in mm, which are the drawing's own units.
 */
export interface StripPage {
  readonly svg: string
  readonly pieces: number
  readonly pages: number
}

const page = { width: 210, height: 297, margin: 12 } as const
const piece = { length: 180, height: 16, gap: 4 } as const
const perPage = Math.floor((page.height - 2 * page.margin - 22) / (piece.height + piece.gap))

/** Strip of `length_mm` with a tick every `step_mm` and a number at every fifth or tenth. Lengths are rounded up to whole pieces of 180 mm. */
export function tapeStrip(length_mm: number, step_mm: number): StripPage {
  const pieces = Math.max(1, Math.ceil(length_mm / piece.length - 1e-9))
  const pages = Math.ceil(pieces / perPage)
  const out: string[] = []
  for (let k = 0; k < pieces; k++) {
    const sheet = Math.floor(k / perPage)
    const top = sheet * page.height + page.margin + 22 + (k % perPage) * (piece.height + piece.gap)
    out.push(pieceAt(page.margin + 3, top, k * piece.length, step_mm))
  }
  for (let sheet = 0; sheet < pages; sheet++) out.push(heading(sheet, pages))
  const height = pages * page.height
  return {
    pieces,
    pages,
    svg:
      `<svg xmlns="http://www.w3.org/2000/svg" width="${page.width}mm" height="${height}mm" viewBox="0 0 ${page.width} ${height}" ` +
      `font-family="sans-serif" stroke-width="0.3"><rect width="100%" height="100%" fill="#fff"/>${out.join('')}</svg>`,
  }
}

function heading(sheet: number, pages: number): string {
  const y = sheet * page.height + page.margin
  const x = page.margin + 3
  const says = `Print at 100 %, without fitting to the page. This line must measure 100 mm:`
  const of = pages > 1 ? ` · page ${sheet + 1} of ${pages}` : ''
  return (
    `<text x="${x}" y="${y + 5}" font-size="4">${says}${of}</text>` +
    `<path d="M${x} ${y + 12}h100M${x} ${y + 9}v6M${x + 100} ${y + 9}v6" stroke="#000" fill="none" data-check="100"/>`
  )
}

function pieceAt(x: number, top: number, from_mm: number, step_mm: number): string {
  const end = from_mm + piece.length
  const labelled = step_mm * 5 >= 25 ? 5 : 10
  const ticks: string[] = []
  const labels: string[] = []
  const first = Math.ceil(from_mm / step_mm - 1e-9)
  for (let i = first; i * step_mm <= end + 1e-9; i++) {
    const at = i * step_mm
    const long = i % labelled === 0
    ticks.push(`M${fixed(x + at - from_mm)} ${top}v${long ? 9 : 6}`)
    // Near its end a number would be cut off with the piece: it stands inside.
    const inside = Math.min(piece.length - 4, Math.max(4, at - from_mm))
    if (long)
      labels.push(
        `<text x="${fixed(x + inside)}" y="${top + 13.5}" font-size="4" text-anchor="middle">${fixed(at)}</text>`,
      )
  }
  return (
    `<rect x="${x}" y="${top}" width="${piece.length}" height="${piece.height}" fill="none" stroke="#999"/>` +
    `<path d="${ticks.join('')}" stroke="#000" stroke-width="0.6" fill="none" data-from="${from_mm}"/>${labels.join('')}`
  )
}

const fixed = (value: number): string => String(Number(value.toFixed(3)))
