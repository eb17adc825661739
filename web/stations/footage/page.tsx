import { useEffect } from 'react'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { idleTool } from '../../picture/overlay.ts'
import { viewOverlay } from '../../picture/view-overlay.ts'
import { Workplace } from '../../picture/workplace.tsx'
import { useWaitingFootage } from '../../record/incoming.ts'
import { useRecord } from '../../record/store.ts'
import { addWaitingClips } from './add-clips.ts'
import { ChooseOtherFile } from './choose-other-file.tsx'
import { ClipFactsList } from './clip-facts.tsx'
import { ClipList } from './clip-list.tsx'
import { FilmingChecklist } from './filming-checklist.tsx'
import { FrameCheckSheet } from './frame-check-sheet.tsx'
import { TrimControls } from './trim-controls.tsx'
import { ViewChoice } from './view-choice.tsx'
import './footage.css'

export function FootagePage() {
  const waiting = useWaitingFootage()
  const { clip, facts } = useCurrentClip()
  const record = useRecord((r) => r)
  useEffect(() => {
    if (waiting > 0) void addWaitingClips()
  }, [waiting])
  return (
    <Workplace items={clip ? viewOverlay(record, clip.viewId) : []} tool={idleTool} thumbnails>
      <ClipList />
      {clip && (
        <>
          <ClipFactsList clip={clip} facts={facts} />
          <ChooseOtherFile key={clip.id} clip={clip} />
          <FrameCheckSheet clip={clip} facts={facts} />
          <TrimControls clip={clip} />
          <ViewChoice clip={clip} />
        </>
      )}
      <FilmingChecklist open={!clip} />
    </Workplace>
  )
}
