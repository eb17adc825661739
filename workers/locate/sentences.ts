import type { ShakeTrack } from '../record/index.ts'
import { Doubt, type DoubtBits, type EndReason, type GapReason } from './doubts.ts'
import type { FoundRun, Note } from './found-run.ts'
import type { FollowOutcome } from './follow-run.ts'
import type { Unsure } from './settle-click.ts'

function frames(from: number, to: number): string {
  return from === to ? `frame ${from}` : `frames ${from} to ${to}`
}

/** What the search wants a person to know. */
export function noteSentence(note: Note): string {
  switch (note.kind) {
    case 'not-a-ball':
      return `Lane ${note.lane}: something moved in ${frames(note.from, note.to)} without two clear edges a ball's width apart. It was not counted.`
    case 'nothing-found':
      return `Lane ${note.lane}: nothing that looks like a rolling ball was found. Check that the lane's line runs through the ball's centre, or mark the ball by hand once.`
    case 'line-off':
      return `Lane ${note.lane}: the ball's path lies ${Math.abs(note.across_px).toFixed(1)} px ${note.across_px < 0 ? 'above' : 'below'} your line. Move the line there?`
    case 'too-close':
      return `Lane ${note.lane}: two balls are too close to each other in ${frames(note.from, note.to)}. These frames were left out.`
    case 'touching':
      return `Lane ${note.lane}: two balls touch in ${frames(note.from, note.to)} and cannot be told apart. They were left out; release them one by one.`
    case 'smeared':
      return `Lane ${note.lane}: the ball smears in ${note.runs === 1 ? 'a run' : `${note.runs} runs`}, so its marks are far less sure. A shorter exposure would help more than anything else.`
    case 'repeated-frames':
      return `${note.frames.length} ${note.frames.length === 1 ? 'frame repeats' : 'frames repeat'} the one before (first: ${note.frames[0]}). Not used.`
    case 'flicker':
      return `Lane ${note.lane}: the light flickers by ${(100 * note.range).toFixed(0)} %. It was divided out of every frame.`
    case 'many-doubts':
      return `Lane ${note.lane}: ${(100 * note.share).toFixed(0)} % of the marks are unsure. Step through them before you trust this lane.`
    case 'lane-outside':
      return `Lane ${note.lane}: its line lies outside the picture. Draw it again.`
  }
}

/** Why a mark is less sure; empty for a clean one. */
export function doubtSentences(bits: DoubtBits): string[] {
  const said: string[] = []
  if ((bits & Doubt.oneEdge) !== 0) said.push('Partly hidden: placed by one edge, about two to three times less sure.')
  if ((bits & Doubt.weakContrast) !== 0) said.push('Ball and background are nearly equally bright here: doubtful.')
  if ((bits & Doubt.poorFit) !== 0) said.push('The outline is less clear here than elsewhere in this run.')
  if ((bits & Doubt.neighbour) !== 0) said.push('Another ball is close by.')
  if ((bits & Doubt.blurred) !== 0)
    said.push('The ball smears here: a shorter exposure would help more than anything else.')
  if ((bits & Doubt.outlier) !== 0) said.push('This mark lies far from where its neighbours in time would have it.')
  return said
}

export function gapSentence(from: number, to: number, reason: GapReason): string {
  const where = frames(from, to)
  switch (reason) {
    case 'hidden':
      return `The ball is hidden in ${where}: no marks.`
    case 'too-close':
      return `Two balls too close to each other in ${where}: left out.`
    case 'repeated-frame':
      return `${where[0]!.toUpperCase()}${where.slice(1)} only ${from === to ? 'repeats' : 'repeat'} the one before: not used.`
    case 'width-off':
      return `The ball's width is off in ${where}: something covers it or stands behind it. Left out.`
    case 'not-seen':
      return `The ball was not seen in ${where}.`
    case 'picture-edge':
      return `The ball is cut by the picture's edge in ${where}.`
  }
}

export function endSentence(reason: EndReason, end: 'starts' | 'ends'): string {
  const does = end === 'starts' ? 'starts' : 'ends'
  switch (reason) {
    case 'lane-end':
      return `The run ${does} at the end of the lane's line.`
    case 'picture-edge':
      return `The run ${does} at the picture's edge.`
    case 'rest':
      return `The run ${does} where the ball lies still.`
    case 'turn':
      return `The run ${does} where the ball turns back.`
    case 'touch':
      return `The run ${does} where the ball comes too close to another.`
    case 'hidden':
      return `The run ${does} where something hides the ball.`
    case 'clip-end':
      return end === 'starts' ? 'The run starts with the clip.' : 'The run ends with the clip.'
  }
}

/** Why a click was not settled, and what to do. */
export function unsureSentence(unsure: Unsure): string {
  switch (unsure.reason) {
    case 'no-outline':
      return 'No round outline near this click. Click nearer to the ball’s centre, or place the mark by hand.'
    case 'little-outline':
      return 'Too little of the ball’s outline is visible here. Place the mark by hand if you can see where it is.'
    case 'not-round':
      return 'What lies here is not round enough, or not of the ball’s size. Place the mark by hand.'
    case 'two-candidates':
      return 'Two round things lie equally near to this click. Click nearer to the ball’s centre.'
    case 'size-unknown':
      return 'Spots on a ball are round too, and the size of this one is not known yet. Set the scale and the ball first, or place the mark by hand.'
    case 'too-far':
      return 'The nearest ball lies more than three quarters of its radius from this click. Click nearer to its centre.'
  }
}

export function followSentence(outcome: FollowOutcome): string {
  switch (outcome.kind) {
    case 'followed':
      return runSentence(outcome.run)
    case 'cancelled':
      return `Stopped after ${outcome.framesRead} frames.`
    case 'lost':
      switch (outcome.reason) {
        case 'nothing-there':
          return 'No ball could be followed from there. Check the lane’s line and click on the streak itself.'
        case 'other-place':
          return 'The ball found does not pass through all your clicks. Click points of one streak only.'
        case 'no-click':
          return 'Click the ball once in the picture, or its streak two or three times.'
      }
  }
}

/** What was done about a camera that moved. */
export function shakeSentence({ dx, dy, u_px }: ShakeTrack): string {
  const most = dx.reduce((so, x, i) => Math.max(so, Math.hypot(x, dy[i]!)), 0)
  return `The camera moved by up to ${most.toFixed(1)} px. That was taken out before the search, to about ${Math.max(0.01, u_px).toFixed(2)} px.`
}

/** One line on a run: how many marks, how sure, and how far from what the pixels could allow. */
export function runSentence(run: FoundRun): string {
  const doubtful = run.doubt.reduce((n, bits) => n + (bits === 0 ? 0 : 1), 0)
  const share = run.scatter_px / run.bound_px
  return (
    `${run.frames.length} marks in ${frames(run.frames[0]!, run.frames[run.frames.length - 1]!)}, ` +
    `${doubtful} of them unsure; scatter ${run.scatter_px.toFixed(2)} px, ${share.toFixed(0)} times what pixel noise alone would allow; ` +
    `neighbouring marks share their error by ${run.lag1.toFixed(2)}.`
  )
}
