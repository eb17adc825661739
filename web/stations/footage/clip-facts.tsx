import type { ClipFacts, DecoderName } from '../../../workers/bridge/decode-client.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'
import { Flag } from '../../parts/flag.tsx'
import { pictureOf } from './clip-edits.ts'
import { IntervalHistogram } from './interval-histogram.tsx'

/** What the file says about itself, and which part of the tool serves its frames. */
export function ClipFactsList({ clip, facts }: { clip: Clip; facts: ClipFacts | null }) {
  const picture = pictureOf(clip)
  const damage = facts?.damage?.sentence ?? clip.damage
  const repeated = clip.repeated?.length ?? 0
  return (
    <section aria-labelledby="facts-head">
      <h2 id="facts-head">What the file says</h2>
      {damage && <p className="damage">{damage}</p>}
      <dl className="facts">
        <Fact name="pixels">
          {picture.width} × {picture.height}
          {clip.rotation + clip.turn !== 0 && (
            <span className="quiet"> turned {(clip.rotation + clip.turn) % 360}°</span>
          )}
        </Fact>
        <Fact name="codec">
          {clip.codec}
          {facts && facts.bitDepth > 8 ? `, ${facts.bitDepth} bit` : ''} in {clip.container}
        </Fact>
        <Fact name="size">{showPlain(clip.size / 1e6, 3)} MB</Fact>
        <Fact name="frames">{clip.frames}</Fact>
        <Fact name="plays at">{showPlain(clip.fileRate_hz, 5)} frames per second</Fact>
        <Fact name="filmed at">
          {clip.filmingRateTag_hz === null ? (
            <span className="quiet">the file does not say</span>
          ) : (
            `${showPlain(clip.filmingRateTag_hz, 5)} frames per second, by its tag`
          )}
        </Fact>
        <Fact name="intervals">
          {clip.interval.uneven === 0 ? 'even' : <Flag>{clip.interval.uneven} uneven</Flag>}
          {clip.timestampStep_s > 0 && (
            <span className="quiet"> rounded to {showPlain(clip.timestampStep_s * 1000)} ms</span>
          )}
        </Fact>
        {repeated > 0 && (
          <Fact name="repeated">
            <Flag>
              {repeated} {repeated === 1 ? 'frame repeats' : 'frames repeat'} the one before: not used
            </Flag>
          </Fact>
        )}
        {facts && (
          <Fact name="decoded by">
            {decoders[facts.decoder]}
            {facts.expectedFrame_s !== null && (
              <span className="quiet">, about {showPlain(facts.expectedFrame_s * 1000, 2)} ms a frame</span>
            )}
          </Fact>
        )}
      </dl>
      {facts && <p className="small quiet">{facts.decoderReason}</p>}
      {facts && facts.timescale_hz > 0 && <IntervalHistogram facts={facts} />}
    </section>
  )
}

const decoders: Readonly<Record<DecoderName, string>> = {
  webcodecs: 'the browser',
  prores: 'the ProRes decoder',
  'image-decoder': 'the browser, image by image',
  ffmpeg: 'ffmpeg in the browser',
}

function Fact({ name, children }: { name: string; children: React.ReactNode }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  )
}
