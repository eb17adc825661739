import { openNativeLuma } from '../../tests/support/native-luma.ts'
import { doubtCodesOf } from '../../workers/locate/doubt-code.ts'
import { findRuns } from '../../workers/locate/find-runs.ts'
import type { FoundRun } from '../../workers/locate/found-run.ts'
import { laneLine } from '../../workers/locate/lane-line.ts'
import type { Clip, LaneLine, Marks } from '../../workers/record/index.ts'

/** Every passage of a clip, found as the tool finds them in the page. `lines`: lane key → its line in the picture. */
export async function foundIn(
  path: string,
  clip: Clip,
  ticks: readonly number[],
  rate_hz: number,
  lines: Readonly<Record<string, LaneLine>>,
): Promise<readonly FoundRun[]> {
  const luma = openNativeLuma(path, { frames: clip.frames })
  try {
    const outcome = await findRuns(
      luma,
      Object.entries(lines).map(([key, line]) =>
        laneLine(
          key,
          line.points.map(({ x, y }) => [x, y] as const),
        ),
      ),
      { time_s: ticks.map((tick) => (tick - ticks[0]!) / clip.interval.median / rate_hz) },
    )
    if (outcome.kind !== 'found') throw new Error(`${path}: ${outcome.kind}`)
    return outcome.runs
  } finally {
    luma.close()
  }
}

const thousandth = (x: number): number => Math.round(x * 1000) / 1000

export function marksOf(run: FoundRun, ticks: readonly number[]): Marks {
  const frame = [...run.frames]
  return {
    frame,
    ticks: frame.map((f) => ticks[f]!),
    x: Array.from(run.x, thousandth),
    y: Array.from(run.y, thousandth),
    sigma: Array.from(run.sigma, thousandth),
    origin: frame.map(() => 'found'),
    doubt: doubtCodesOf(run),
  }
}
