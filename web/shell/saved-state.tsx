import { useEffect, useState } from 'react'
import { useSaved, type BrowserCopy } from '../record/saved.ts'
import { clockTime } from '../format/when.ts'

/** Most copies are confirmed within this time; words that came and went with every key would only flicker. */
const patience_ms = 400

/** Where the record stands: the last file, and the copy in the browser. */
export function SavedState() {
  const copy = useSaved((saved) => saved.copy)
  const file = useSaved((saved) => saved.file)
  const seq = useSaved((saved) => saved.seq)
  const slow = useLasting(copy.kind === 'writing')
  const changed = file !== null && file.seq !== seq
  const toFile: Said | null = file && {
    text: changed ? 'changed since file' : 'saved to file',
    at: clockTime(file.at),
  }
  const inBrowser = saysOf(copy, slow)
  // Where there is room for one of them only: what goes wrong or is under way before what is well.
  const browserFirst = toFile === null || (copy.kind !== 'kept' && copy.kind !== 'off' && inBrowser?.at === null)
  const parts = [
    ...(toFile ? [{ ...toFile, less: browserFirst }] : []),
    ...(inBrowser ? [{ ...inBrowser, less: !browserFirst }] : []),
  ]
  const whole = [toFile ?? { text: 'not saved to a file yet', at: null }, ...(inBrowser ? [inBrowser] : [])]
  return (
    <span
      className={`saved-state ${copy.kind === 'failed' ? 'caution' : 'quiet'}${changed ? ' changed' : ''}`}
      title={capital(whole.map(inWords).join(', '))}
      data-copy={copy.kind}
    >
      {parts.map((part, i) => (
        <span key={part.text} className={part.less ? 'less' : undefined}>
          {i === 0 || !part.less ? capital(part.text) : part.text}
          {part.at !== null && <span className="at"> {part.at}</span>}
        </span>
      ))}
    </span>
  )
}

interface Said {
  readonly text: string
  /** Time of day; null where there is none to tell. */
  readonly at: string | null
}

const inWords = ({ text, at }: Said): string => (at === null ? text : `${text} ${at}`)
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

function saysOf(copy: BrowserCopy, slow: boolean): Said | null {
  switch (copy.kind) {
    case 'off':
      return null
    case 'writing':
      if (slow) return { text: 'keeping …', at: null }
      return copy.before === null ? null : { text: 'kept in browser', at: clockTime(copy.before) }
    case 'kept':
      return { text: 'kept in browser', at: clockTime(copy.at) }
    case 'failed':
      return { text: 'not kept in browser', at: null }
    case 'read-only':
      return { text: 'looking only', at: null }
  }
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
