import type { ClipFacts, Damage, DecoderName, Rotation } from './clip-facts.ts'
import type { FrameIndex } from './frame-index.ts'
import { intervalStatistics, meanRate_hz } from './intervals.ts'
import { shapeOf, type Planes } from './planes.ts'
import { quickKey } from './quick-key.ts'

/** What the ways of opening know; the rest of the facts follows from it. */
export interface KnownFacts {
  readonly name: string
  readonly files: readonly File[]
  readonly container: string
  readonly codec: string
  readonly index: FrameIndex
  readonly first: Planes
  readonly rotation_deg: Rotation
  readonly mirrored: boolean
  readonly pixelAspect: number
  readonly filmingRateTag_hz: number | null
  readonly timestampsRounded_s: number
  readonly decoder: DecoderName
  readonly decoderReason: string
  readonly expectedFrame_s: number | null
  readonly damage: Damage | null
}

export async function makeFacts(known: KnownFacts): Promise<ClipFacts> {
  const { files, index, first, ...rest } = known
  const turned = known.rotation_deg === 90 || known.rotation_deg === 270
  return {
    name: rest.name,
    size_bytes: files.reduce((sum, file) => sum + file.size, 0),
    quickKey: await quickKey(files),
    container: rest.container,
    codec: rest.codec,
    codedWidth_px: first.width,
    codedHeight_px: first.height,
    rotation_deg: rest.rotation_deg,
    mirrored: rest.mirrored,
    displayedWidth_px: turned ? first.height : first.width,
    displayedHeight_px: turned ? first.width : first.height,
    pixelAspect: rest.pixelAspect,
    bitDepth: shapeOf(first.format).bitDepth,
    frames: index.frames,
    timescale_hz: index.timescale_hz,
    ticks: index.ticks,
    intervals: intervalStatistics(index.ticks, index.timescale_hz),
    fileRate_hz: meanRate_hz(index.ticks, index.timescale_hz),
    filmingRateTag_hz: rest.filmingRateTag_hz,
    timestampsRounded_s: rest.timestampsRounded_s,
    decoder: rest.decoder,
    decoderReason: rest.decoderReason,
    expectedFrame_s: rest.expectedFrame_s,
    damage: rest.damage,
  }
}
