/** Positions of a ball filmed at even times while it gains speed: 1, 4, 9 … along the lane. */
const shots = [0, 1, 2, 3, 4, 5, 6, 7].map((n) => ({ n, s: 6 + 5.2 * n * n }))
const slope = 0.055
const lane = (s: number) => ({ x: 30 + s, y: 48 + s * slope })

/** A faint drawing of what will be there: one ball at even times along its lane, and right under it the streak it draws. */
export function WelcomeDrawing() {
  const sheetTop = 112
  return (
    <svg
      className="welcome-drawing"
      viewBox="0 0 330 236"
      role="img"
      aria-label="A ball drawn at even times along its lane; under it, the curve that its place draws while time runs down."
    >
      <g className="faint">
        <path d={`M${lane(-14).x} ${lane(-14).y + 8} L${lane(286).x} ${lane(286).y + 8}`} className="ink-line" />
        <path d={`M${lane(-14).x} ${lane(-14).y + 13} L${lane(286).x} ${lane(286).y + 13}`} />
        <path d="M46 62 v38 M290 76 v24" />
        <path d="M24 100 h286" />
        {shots.map(({ n, s }) => (
          <g key={n}>
            <path d={`M${lane(s).x} ${lane(s).y} V${sheetTop + 8 + n * 14}`} className="hair-line" />
            <circle cx={lane(s).x} cy={lane(s).y} r="8" className={n === 5 ? 'ball-now' : 'ball'} />
          </g>
        ))}
        <rect x="16" y={sheetTop} width="302" height="116" className="sheet" />
        {shots.map(({ n }) => (
          <path key={n} d={`M16 ${sheetTop + 8 + n * 14} h302`} className="hair-line" />
        ))}
      </g>
      <path d={streak(sheetTop)} className="streak" />
      {shots.map(({ n, s }) => (
        <circle key={n} cx={lane(s).x} cy={sheetTop + 8 + n * 14} r={n === 5 ? 3.2 : 1.8} className="streak-mark" />
      ))}
    </svg>
  )
}

function streak(top: number): string {
  const points = Array.from({ length: 57 }, (_, i) => i / 8).map(
    (n) => `${lane(6 + 5.2 * n * n).x.toFixed(1)} ${(top + 8 + n * 14).toFixed(1)}`,
  )
  return `M${points.join(' L')}`
}
