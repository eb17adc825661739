import { useSaved } from '../record/saved.ts'
import { clockTime } from '../format/when.ts'

/** Where the record stands: the last file, and the copy in the browser. */
export function SavedState() {
  const copy = useSaved((saved) => saved.copy)
  const file = useSaved((saved) => saved.file)
  const seq = useSaved((saved) => saved.seq)
  const toFile = file
    ? file.seq === seq
      ? `Saved to file ${clockTime(file.at)}`
      : `Changed since file ${clockTime(file.at)}`
    : null
  const inBrowser = (() => {
    switch (copy.kind) {
      case 'off':
        return null
      case 'writing':
        return 'keeping …'
      case 'kept':
        return `kept in browser ${clockTime(copy.at)}`
      case 'failed':
        return 'not kept in browser'
      case 'read-only':
        return 'looking only'
    }
  })()
  const inWords = [toFile, inBrowser].filter((part) => part !== null)
  const whole = [toFile ?? 'Not saved to a file yet', inBrowser].filter((part) => part !== null).join(', ')
  return (
    <span
      className={copy.kind === 'failed' ? 'saved-state caution' : 'saved-state quiet'}
      title={whole}
      data-copy={copy.kind}
    >
      {inWords.map((part, i) => (
        <span key={part}>{i === 0 ? part.charAt(0).toUpperCase() + part.slice(1) : part}</span>
      ))}
    </span>
  )
}
