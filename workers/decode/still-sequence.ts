/** Numbered stills in order, with the numbers that are missing between the first and the last. */
export type StillSequence =
  | {
      readonly kind: 'sequence'
      /** Name with the number replaced by `#`. */
      readonly pattern: string
      readonly first: number
      /** File of each frame; null where the number is missing. */
      readonly files: readonly (File | null)[]
      readonly missing: readonly number[]
      /** Files that belong to no sequence and were left out. */
      readonly ignored: readonly string[]
    }
  | { readonly kind: 'unnumbered'; readonly name: string }

/** More missing numbers than stills means that these numbers count something else (a clock, for instance). */
const mostMissingPerStill = 4

/** Orders stills by the last number in their names. Files of another pattern or kind than most are left out.
 *  When no name carries a number, or numbers repeat, there is no order to go by. */
export function stillSequence(files: readonly File[]): StillSequence {
  const groups = new Map<string, { file: File; number: number }[]>()
  for (const file of files) {
    const parts = /^(.*?)(\d+)(\D*)$/.exec(file.name)
    if (parts === null) continue
    const key = `${parts[1] ?? ''}#${parts[3] ?? ''}`.toLowerCase()
    const group = groups.get(key) ?? []
    group.push({ file, number: Number(parts[2]) })
    groups.set(key, group)
  }
  const [pattern, group] = [...groups].sort((a, b) => b[1].length - a[1].length)[0] ?? ['', []]
  const firstName = files[0]?.name ?? ''
  if (group.length === 0) return { kind: 'unnumbered', name: firstName }
  group.sort((a, b) => a.number - b.number)
  const first = group[0]?.number ?? 0
  const last = group[group.length - 1]?.number ?? 0
  const span = last - first + 1
  if (new Set(group.map(({ number }) => number)).size < group.length) return { kind: 'unnumbered', name: firstName }
  if (span - group.length > mostMissingPerStill * group.length) return { kind: 'unnumbered', name: firstName }
  const slots: (File | null)[] = Array.from({ length: span }, () => null)
  for (const { file, number } of group) slots[number - first] = file
  const missing = slots.flatMap((slot, i) => (slot === null ? [first + i] : []))
  const used = new Set(group.map(({ file }) => file))
  const ignored = files.filter((file) => !used.has(file)).map((file) => file.name)
  return { kind: 'sequence', pattern, first, files: slots, missing, ignored }
}
