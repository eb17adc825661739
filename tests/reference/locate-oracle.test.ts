import { describe, expect, test } from 'vitest'
import { longRun } from '../support/long-run.ts'
import { followSideBySide, type Method } from '../support/follow-side-by-side.ts'

// Outside reference: template matching and the circle finder of OpenCV (npm: @techstark/opencv-js), a library that shares no code with this one, on the
// same frames; both against the exact truth of the clips (tests/data/clips/README.md).
const cases = [
  { name: 'b_three_as_cut', ball: 'B1' },
  { name: 'b_three_as_cut', ball: 'A1' },
  { name: 'b_three_as_cut', ball: 'C1' },
  { name: 'a_single_v', ball: 'A1' },
].slice(0, longRun ? undefined : 2)

describe.each(cases)('ball $ball of $name', ({ name, ball }) => {
  test('the search and the settled click are at least as exact as the library’s finders', async () => {
    const methods = await followSideBySide(name, ball, longRun ? 3 : 8)
    for (const m of methods)
      console.log(
        `${name} ${ball} ${m.name}: bias ${m.bias.toFixed(3)} px, scatter ${m.scatter.toFixed(3)} px, within 3 px ${(100 * m.within).toFixed(0)} %, ${m.ms.toFixed(2)} ms a mark`,
      )
    const of = (wanted: Method['name']): Method => methods.find((m) => m.name === wanted)!
    const [found, settled, template, circle] = [
      of('found runs'),
      of('settled clicks'),
      of('template matching'),
      of('circle finder'),
    ]
    const rms = (m: Method): number => Math.hypot(m.bias, m.scatter)
    expect(template.within, 'the library finds the ball at all').toBeGreaterThan(0.5)
    // Near the picture's edge neither sees a whole ball.
    expect(found.within).toBeGreaterThan(Math.min(0.95, template.within - 0.03))
    expect(rms(found)).toBeLessThan(rms(template))
    expect(rms(found)).toBeLessThan(rms(circle))
    expect(rms(settled)).toBeLessThan(rms(circle))
    // Two ways that share nothing agree on where the ball is, within what the coarser one can tell.
    expect(Math.abs(found.bias - template.bias)).toBeLessThan(2 * template.scatter)
  })
})
