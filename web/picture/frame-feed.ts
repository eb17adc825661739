import type { OpenClip, PictureOutcome } from '../../workers/bridge/decode-client.ts'
import { frameStore } from './frame-store.ts'
import { newestOnly } from './newest-only.ts'
import type { QuarterTurn } from './orientation.ts'
import { drawFrame } from './raster.ts'

interface Wish {
  readonly clipId: string
  readonly clip: OpenClip
  readonly frame: number
  readonly turn: QuarterTurn
}

let asked: Wish | null = null
let waiting: ReturnType<typeof setTimeout> | undefined

/** Frames that come within this time show without a word about waiting. */
const patience_ms = 180

const feed = newestOnly<Wish, PictureOutcome>((wish, signal) => wish.clip.picture(wish.frame, { signal }), {
  answer(outcome, wish) {
    arrived()
    take(outcome, wish)
  },
  // While somebody scrubs, every frame that comes is shown on the way; the clip may have changed meanwhile.
  passed(outcome, wish) {
    if (asked?.clip === wish.clip && asked.turn === wish.turn) take(outcome, wish)
    else if (outcome.kind === 'picture') outcome.image.close()
  },
  failed(cause, wish) {
    arrived()
    frameStore.setState({
      shown: null,
      problem: `Frame ${wish.frame} could not be decoded (${cause instanceof Error ? cause.message : String(cause)}). Try another frame, or open the clip again.`,
    })
  },
})

/** Asks for the picture of a frame; asking for what is asked already does nothing. */
export function askFrame(wish: Wish): void {
  if (asked && asked.clip === wish.clip && asked.frame === wish.frame && asked.turn === wish.turn) return
  asked = wish
  clearTimeout(waiting)
  waiting = setTimeout(() => frameStore.setState({ waiting: true }), patience_ms)
  feed.wish(wish)
}

export function stopFrames(): void {
  asked = null
  arrived()
  feed.stop()
}

function arrived(): void {
  clearTimeout(waiting)
  if (frameStore.getState().waiting) frameStore.setState({ waiting: false })
}

function take(outcome: PictureOutcome, wish: Wish): void {
  switch (outcome.kind) {
    case 'picture': {
      const { facts } = wish.clip
      const coded = { width: facts.codedWidth_px, height: facts.codedHeight_px }
      drawFrame(outcome.image, coded, wish.turn, facts.mirrored)
      frameStore.setState((s) => ({
        shown: { clipId: wish.clipId, frame: outcome.frame, doubtful: outcome.doubtful },
        drawn: s.drawn + 1,
        problem: null,
      }))
      return
    }
    case 'missing-frame':
      frameStore.setState({
        shown: null,
        problem: `The file holds no picture for frame ${outcome.frame}. Step to another frame; marks cannot be set here.`,
      })
      return
    case 'failed':
      frameStore.setState({ shown: null, problem: outcome.sentence })
      return
  }
}
