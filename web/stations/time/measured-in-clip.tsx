import { useState } from 'react'
import type { Clip, View } from '../../../workers/record/index.ts'
import { ChoiceRow } from '../../parts/choice-row.tsx'
import { FallClock } from './fall-clock.tsx'
import { LampClock, MainsClock } from './lamp-clock.tsx'
import { clockKindOf, type ClockKind } from './time-edits.ts'
import { TwoFrames } from './two-frames.tsx'
import type { FallTool } from './use-fall-tool.ts'
import type { LampBox } from './use-lamp-box.ts'

/** Which clock in the clip is being looked at: the recorded one, or another that is tried. */
export function useClockChoice(view: View | undefined): [ClockKind | null, (kind: ClockKind) => void] {
  const [tried, setTried] = useState<{ viewId: string; kind: ClockKind } | null>(null)
  const recorded = view ? clockKindOf(view) : null
  return [
    tried && tried.viewId === view?.id ? tried.kind : recorded,
    (kind) => {
      if (view) setTried({ viewId: view.id, kind })
    },
  ]
}

/** The filming rate found in the clip itself, by one of four clocks. */
export function MeasuredInClip({
  clip,
  view,
  kind,
  onKind,
  box,
  fall,
}: {
  readonly clip: Clip
  readonly view: View
  readonly kind: ClockKind | null
  readonly onKind: (kind: ClockKind) => void
  readonly box: LampBox
  readonly fall: FallTool
}) {
  return (
    <section aria-label="Measured in the clip">
      <ChoiceRow
        label="Or measured in the clip, by"
        value={kind}
        choices={[
          { value: 'two-frames', label: 'two frames a known time apart' },
          { value: 'lamp', label: 'a blinking lamp' },
          { value: 'mains', label: 'flicker of the mains' },
          { value: 'free-fall', label: 'a ball in free fall' },
        ]}
        onChange={onKind}
      />
      {kind === 'two-frames' && <TwoFrames key={view.id} clip={clip} view={view} />}
      {kind === 'lamp' && <LampClock key={clip.id} clip={clip} view={view} box={box} />}
      {kind === 'mains' && <MainsClock key={clip.id} clip={clip} view={view} box={box} />}
      {kind === 'free-fall' && <FallClock key={clip.id} clip={clip} view={view} fall={fall} />}
    </section>
  )
}
