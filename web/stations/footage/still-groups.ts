import type { IncomingFile } from '../../record/incoming.ts'

const isStill = (file: File): boolean => /^image\/(png|jpe?g)$/.test(file.type) || /\.(png|jpe?g)$/i.test(file.name)

const byNumber = new Intl.Collator('en', { numeric: true })

/** `shot_0042.png` → `shot_`: stills with the same name in front of their number belong together. */
export const inFrontOf = (files: readonly { readonly name: string }[]): string =>
  (files[0]?.name ?? '').replace(/\d+\.[^.]*$/, '').replace(/[_.\- ]+$/, '') || 'stills'

const frontOf = (file: File): string =>
  `${file.webkitRelativePath.replace(/[^/]*$/, '')}${file.name.replace(/\d+(\.[^.]*)$/, '$1')}`

/** Films one by one; numbered stills of one folder and name together, in the order of their numbers. */
export function stillGroups(files: readonly IncomingFile[]): (readonly IncomingFile[])[] {
  const groups: (readonly IncomingFile[])[] = []
  const stills = new Map<string, IncomingFile[]>()
  for (const one of files) {
    if (!isStill(one.file)) groups.push([one])
    else stills.set(frontOf(one.file), [...(stills.get(frontOf(one.file)) ?? []), one])
  }
  for (const set of stills.values()) groups.push(set.sort((a, b) => byNumber.compare(a.file.name, b.file.name)))
  return groups
}
