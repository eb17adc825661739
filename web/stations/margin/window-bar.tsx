import type { SlopeWindow } from '../../../workers/decide/slope-window.ts'
import { laneStroke } from '../../picture/lane-stroke.ts'
import type { Scale } from '../../parts/interval-bar.tsx'
import { useRecord } from '../../record/store.ts'

/** The slope window of a lane on the scale of all rows: the open band is where it may stand, the ring where it stands. */
export function WindowBar({
  window: { least_rad, greatest_rad, actual_rad },
  scale,
  laneId,
  label,
}: {
  readonly window: SlopeWindow
  readonly scale: Scale
  readonly laneId: string
  readonly label: string
}) {
  const record = useRecord((r) => r)
  const { colour } = laneStroke(record, laneId)
  const at = (x: number) => 6 + 208 * Math.min(1, Math.max(0, (x - scale.from) / (scale.to - scale.from)))
  const [from, to] = [at(least_rad), greatest_rad === null ? 220 : at(greatest_rad)]
  return (
    <svg
      className="window-bar"
      viewBox="0 0 220 22"
      width="220"
      height="22"
      role="img"
      aria-label={label}
      style={{ color: colour }}
    >
      <path className="interval-ground" d="M0 11 H220" />
      {to > from && <rect className="window-room" x={from} width={to - from} y="4" height="14" />}
      <path className="window-end" d={`M${from} 2 V20`} />
      {greatest_rad !== null && <path className="window-end" d={`M${to} 2 V20`} />}
      <circle cx={at(actual_rad)} cy="11" r="4" className="interval-ring" stroke="currentColor" strokeWidth="1.8" />
    </svg>
  )
}
