import { goTo } from '../shell/route.ts'
import type { StationName } from '../record/session.ts'

const words: Partial<Record<StationName, { text: string; action: string }>> = {
  footage: { text: 'This station works on a clip; there is none yet.', action: 'Add footage' },
  time: { text: 'How frames become seconds is not set yet.', action: 'Set the time' },
  scale: { text: 'The picture has no scale yet.', action: 'Place a scale' },
  lanes: { text: 'No lane is drawn yet.', action: 'Draw a lane' },
  marks: { text: 'No ball is marked yet.', action: 'Mark a run' },
}

/** One sentence, one action: what this station needs before it can begin. */
export function EmptyStation({ needs }: { needs: StationName }) {
  const { text, action } = words[needs] ?? { text: '', action: needs }
  return (
    <section>
      <p>{text}</p>
      <div>
        <button type="button" className="button main" onClick={() => goTo(needs)}>
          {action}
        </button>
      </div>
    </section>
  )
}
