import { useEffect, useState } from 'react'
import { useSaved } from '../record/saved.ts'
import { clockTime } from '../format/when.ts'

/** Most copies are confirmed within this time; words that came and went with every key would only flicker. */
const patience_ms = 400

/** Where the record stands: the last file, and the copy in the browser. */
export function SavedState() {
  const copy = useSaved((saved) => saved.copy)
  const file = useSaved((saved) => saved.file)
  const seq = useSaved((saved) => saved.seq)
  const slow = useLasting(copy.kind === 'writing')
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
        return slow ? 'keeping …' : copy.before && `kept in browser ${clockTime(copy.before)}`
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

/** True once something has been so for a while. */
function useLasting(so: boolean): boolean {
  const [lasting, setLasting] = useState(false)
  useEffect(() => {
    if (!so) return
    const waiting = setTimeout(() => setLasting(true), patience_ms)
    return () => {
      clearTimeout(waiting)
      setLasting(false)
    }
  }, [so])
  return lasting
}
