/** Samples that the table of times may name beyond those that have a size. mediabunny lists every one of them; a million takes
 *  a second, and one damaged byte can make it four thousand million. */
const mostListed = 1_000_000
/** Steps in vain that other tables may cost: some tenths of a second. */
const mostSteps = 300_000_000
/** Boxes looked through before the one with the tables, and how much of that one is read: 100 bytes a frame for an hour at 240 fps. */
const mostBoxes = 1000
const most_bytes = 100 * 1024 * 1024

const headerLength = 16
/** The way from `moov` to the tables of a track. */
const inside = ['trak', 'mdia', 'minf', 'stbl']

interface Box {
  readonly type: string
  /** Where its contents start and end, in bytes. */
  readonly from: number
  readonly to: number
}

/** Whether the tables of a video track in an MP4 or QuickTime file name far more frames than have a size, as only a damaged
 *  count does. mediabunny 1.61 goes through all of them, so the thread would stand still or run out of memory. */
export async function namesTooMany(file: Blob): Promise<boolean> {
  const movie = await movieBox(file)
  return movie !== null && anyTableNamesTooMany(movie, { type: 'moov', from: 0, to: movie.byteLength }, 0)
}

/** The contents of `moov`; null where there is none in the usual place. */
async function movieBox(file: Blob): Promise<DataView | null> {
  let at = 0
  for (let count = 0; count < mostBoxes && at < file.size; count++) {
    const header = new DataView(await file.slice(at, at + headerLength).arrayBuffer())
    const box = boxAt(header, 0, file.size - at)
    if (box === null) return null
    if (box.type === 'moov') {
      const end = at + Math.min(box.to, box.from + most_bytes)
      return new DataView(await file.slice(at + box.from, end).arrayBuffer())
    }
    at += box.to
  }
  return null
}

function anyTableNamesTooMany(view: DataView, parent: Box, depth: number): boolean {
  const boxes: Box[] = []
  for (let at = parent.from; at < parent.to;) {
    const box = boxAt(view, at, parent.to)
    if (box === null) break
    boxes.push(box)
    at = box.to
  }
  if (parent.type === 'stbl') return tablesNameTooMany(view, boxes)
  // Only pictures have `vmhd`; what stands in the tables of sound is not read here.
  if (parent.type === 'minf' && !boxes.some(({ type }) => type === 'vmhd')) return false
  return boxes.some((box) => box.type === inside[depth] && anyTableNamesTooMany(view, box, depth + 1))
}

/** ISO/IEC 14496-12, 8.6.1, 8.7.3 and 8.7.4, from memory: the counts of `stts` and of `ctts` add up to the samples of `stsz` or
 *  `stz2`, and no chunk of `stsc` holds more than all of them. */
function tablesNameTooMany(view: DataView, boxes: readonly Box[]): boolean {
  const sizes = boxes.find(({ type, from, to }) => (type === 'stsz' || type === 'stz2') && to - from >= 12)
  // Sizes may be missing because a damaged box before them swallowed them.
  const samples = sizes === undefined ? 0 : view.getUint32(sizes.from + 8)
  return boxes.some((box) => {
    switch (box.type) {
      case 'stts':
        return sum(numbers(view, box, 8, 0)) > samples + mostListed
      case 'ctts':
        return sum(numbers(view, box, 8, 0)) > samples + mostSteps
      case 'stsc':
        // The whole chunk is gone through for each of its samples.
        return numbers(view, box, 12, 4).some((count) => count > samples && count * samples > mostSteps)
      default:
        return false
    }
  })
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0)

/** One number of each entry of a table: `step` bytes from entry to entry, the number `offset` bytes into it. */
function numbers(view: DataView, { from, to }: Box, step: number, offset: number): number[] {
  if (to - from < 8) return []
  const entries = Math.min(view.getUint32(from + 4), Math.floor((to - from - 8) / step))
  return Array.from({ length: entries }, (_, i) => view.getUint32(from + 8 + step * i + offset))
}

/** The box that starts at `at`, cut off at `end`; null where no box can stand. */
function boxAt(view: DataView, at: number, end: number): Box | null {
  const available = view.byteLength - at
  if (available < 8) return null
  const short = view.getUint32(at)
  const long = short === 1 && available >= headerLength
  const length = long ? Number(view.getBigUint64(at + 8)) : short === 0 ? end - at : short
  const from = at + (long ? headerLength : 8)
  if (at + length < from) return null
  const type = String.fromCharCode(...[4, 5, 6, 7].map((i) => view.getUint8(at + i)))
  return { type, from, to: Math.min(end, at + length) }
}
