/** Before any run is marked: what will be here, and the one thing to do. */
export function NoResults() {
  return (
    <section className="page-sheet no-results">
      <svg viewBox="0 0 320 90" width="320" height="90" aria-hidden="true">
        <path d="M8 12 H312 M8 38 H312 M8 64 H312" className="faint" />
        <path d="M150 25 H214 M120 51 H190 M176 77 H240" className="faint bar" />
      </svg>
      <p>Here each lane gets its row: entry and exit speed, acceleration and C_rr, each with its ±.</p>
      <p>
        <a href="#/marks">Mark a run</a> of at least four frames to fill the first.
      </p>
    </section>
  )
}
