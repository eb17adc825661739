import { counts, isPlaced, mayEnd, saysNext, type Placing } from './placing.ts'

interface Props {
  readonly placing: Placing | null
  readonly onPlacing: (placing: Placing | null) => void
  /** The person says that all points are placed. */
  readonly onEnough: () => void
}

/** What is being placed, and how to end it: stays in view wherever its button stood. */
export function PlacingRow({ placing, onPlacing, onEnough }: Props) {
  if (!placing || isPlaced(placing)) return null
  return (
    <section className="placing-row" aria-label="Placing">
      <p>{saysNext(placing)}</p>
      <div className="button-row">
        <p className="small" aria-live="polite">
          {howMany(placing)}
        </p>
        {mayEnd(placing) && (
          <button type="button" className="button main" onClick={onEnough}>
            That is all
          </button>
        )}
        {placing.points.length > 0 && (
          <button
            type="button"
            className="button"
            onClick={() => onPlacing({ ...placing, points: placing.points.slice(0, -1) })}
          >
            Take back the last
          </button>
        )}
        <button type="button" className="button" onClick={() => onPlacing(null)}>
          Give up
        </button>
      </div>
    </section>
  )
}

function howMany({ what, points }: Placing): string {
  const { least, most } = counts[what]
  if (least === most) return `${points.length} of ${most} points placed.`
  return points.length < least
    ? `${points.length} points placed; ${least} or more are needed.`
    : `${points.length} points placed.`
}
