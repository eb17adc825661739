import { showPlain } from '../../../format/value.ts'
import type { SlowlaneRecord } from '../../../../workers/record/index.ts'

/** How the figures come about, with the formulas and where they are from. */
export function Method({ record }: { readonly record: SlowlaneRecord }) {
  return (
    <section>
      <h2>Method</h2>
      <p>
        The centre of the ball is marked on frames of the footage. The frame rate turns frames into seconds; the scale
        of the picture, with perspective and lens, turns pixels into metres along the line on which the centre travels.
        All runs of one ball on one mounting are fitted together by weighted least squares.
      </p>
      <p className="equation">
        a = g (sin θ − C<sub>rr</sub> cos θ) / k, &nbsp; k = 1 + I / (m r<sub>e</sub>²), &nbsp; C<sub>rr</sub> = tan θ −
        k a / (g cos θ)
      </p>
      <p>
        θ: slope. a: acceleration along the travel. I: the ball’s moment of inertia, ⅖ m R² for a solid one. r
        <sub>e</sub>: rolling radius, from the axis of its turning to the contacts; in a symmetrical V-groove of
        included angle φ it is R sin(φ/2). Newton’s and Euler’s laws for a rigid ball that rolls without slipping. C
        <sub>rr</sub> is an equivalent: the force along the lane that would slow the ball as it was slowed, over its
        weight across the lane, with all losses in it.
      </p>
      <p className="equation">
        two ways on one mounting: &nbsp; tan θ and C<sub>rr</sub> from k (a<sub>down</sub> − a<sub>up</sub>) and k (a
        <sub>down</sub> + a<sub>up</sub>)
      </p>
      <p>
        Where runs go down and up on the same mounting, slope and resistance are found from the motion itself, and the
        best of the ways that a lane allows is the one with the smallest interval. A part that grows with speed is taken
        only where the marks ask for it; what it was, and what else was tried, stands in Results.
      </p>
      <p>
        Uncertainty follows the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008): every stated
        number has a source with its distribution, every result the signed effect of each; sources that two results
        share cancel in their difference. The random part counts the marks’ scatter with its correlation and the scatter
        between runs. Intervals cover {showPlain(100 * record.settings.coverage)} % by Student’s t with the
        Welch–Satterthwaite degrees of freedom; where limits rather than bell shapes lead, by the sum of the
        distributions (JCGM 101:2008).
      </p>
      <p>
        The slope against stalling is a one-sided tolerance limit: with{' '}
        {showPlain(100 * record.settings.reliability.confidence)} % confidence,{' '}
        {showPlain(100 * record.settings.reliability.share)} % of passages need no more.
      </p>
    </section>
  )
}
