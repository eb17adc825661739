import { assertNever, type Clip } from '../../workers/record/index.ts'
import { pickFootageVerb } from '../shell/verbs.ts'
import type { ClipState } from './current-clip.ts'
import { relinkFolderVerb, relinkVerb } from './relink.ts'

/** What stands on the stage when there is no picture: why, and the one thing to do. */
export function NoPicture({ state, clip }: { state: ClipState; clip: Clip | null }) {
  switch (state.kind) {
    case 'none':
      return clip ? null : (
        <>
          <FaintFilm />
          <p>No footage yet. Drop a slow-motion clip here, or pick one; it never leaves this machine.</p>
          <button type="button" className="button main" onClick={() => void pickFootageVerb()}>
            Pick footage
          </button>
        </>
      )
    case 'opening':
      return (
        <>
          <p aria-live="polite">
            {steps[state.progress?.step ?? 'reading']}
            {state.progress?.fraction !== null &&
              state.progress?.fraction !== undefined &&
              ` ${Math.round(state.progress.fraction * 100)} %`}
          </p>
          <button type="button" className="button" onClick={state.cancel}>
            Cancel
          </button>
        </>
      )
    case 'ask':
      return (
        <>
          <p>The browser knows where “{clip?.name}” lies and asks before it reads it again.</p>
          <button type="button" className="button main" onClick={state.grant}>
            Read the clip
          </button>
        </>
      )
    case 'missing':
      return (
        <>
          <p>
            The file of “{clip?.name}” is not at hand. Marks and results are all here; to see the picture, show where
            the file lies. It is known again by its contents, whatever its name is now.
          </p>
          <button type="button" className="button main" onClick={() => void relinkVerb()}>
            Find the file
          </button>
          <button type="button" className="button" onClick={() => void relinkFolderVerb()}>
            Look through a folder
          </button>
        </>
      )
    case 'failed':
      return (
        <>
          <p role="alert">{state.sentence}</p>
          <button type="button" className="button" onClick={() => void relinkVerb()}>
            Choose the file again
          </button>
        </>
      )
    case 'open':
      return null
    default:
      return assertNever(state)
  }
}

const steps = {
  reading: 'Reading the file …',
  'loading-decoder': 'Loading a decoder for this format …',
  indexing: 'Counting the frames …',
  'first-frame': 'Decoding the first frame …',
} as const

/** A faint drawing of what will be here: a lane, a ball, its path. */
function FaintFilm() {
  return (
    <svg className="faint" viewBox="0 0 320 120" width="320" height="120" aria-hidden="true">
      <path d="M20 44 L300 74" />
      <path d="M20 52 L300 82" />
      {[40, 76, 124, 184, 256].map((x, i) => (
        <circle key={x} cx={x} cy={36 + (x - 20) * 0.107} r="9" opacity={0.35 + 0.16 * i} />
      ))}
      <path d="M20 104 H300 M20 104 v-6 M90 104 v-4 M160 104 v-6 M230 104 v-4 M300 104 v-6" />
    </svg>
  )
}
