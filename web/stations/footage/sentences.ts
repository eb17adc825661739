export const alreadyThere = (names: readonly string[]): string =>
  `${names.map((name) => `“${name}”`).join(', ')} ${names.length === 1 ? 'is' : 'are'} in this record already; the file is at hand again.`

export const sameViewTaken = (name: string): string =>
  `“${name}” is taken as filmed from the same camera position as the clip before it, so its time, scale and lane lines serve here too. If the camera was moved, choose a new position beside its facts.`

export const removeClipSentence = (name: string, runs: number): string =>
  runs === 0
    ? `“${name}” has no runs. Remove it from the record? The file itself stays where it is.`
    : `“${name}” carries ${runs} ${runs === 1 ? 'run' : 'runs'} with all marks; they would go with it. The file itself stays where it is, and undo brings everything back.`
