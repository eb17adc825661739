import { assertNever, type Px } from '../../workers/record/index.ts'

/**
 * What the pointers on the stage mean, as a pure machine: events in, state and effects out. Stage points in CSS px.
 * One pointer places, drags a handle or pans; a second finger always turns it into a pinch and what was begun is dropped.
 */
export type Gesture =
  | { readonly kind: 'rest' }
  | { readonly kind: 'placing'; readonly pointer: number; readonly at: Px }
  | {
      readonly kind: 'dragging'
      readonly pointer: number
      readonly handle: string
      readonly grip: Px
      readonly at: Px
      readonly moved: boolean
    }
  | { readonly kind: 'panning'; readonly pointer: number; readonly at: Px; readonly moved: boolean }
  | { readonly kind: 'pinching'; readonly fingers: ReadonlyMap<number, Px> }

export type PointerNews =
  | {
      readonly kind: 'down'
      readonly pointer: number
      readonly at: Px
      readonly touch: boolean
      readonly pans: boolean
      readonly hit: { readonly handle: string; readonly at: Px } | null
      readonly places: boolean
    }
  | { readonly kind: 'move'; readonly pointer: number; readonly at: Px }
  | { readonly kind: 'up'; readonly pointer: number; readonly at: Px }
  | { readonly kind: 'cancel'; readonly pointer: number }

export type Effect =
  | { readonly kind: 'aim'; readonly at: Px }
  | { readonly kind: 'place'; readonly at: Px }
  | { readonly kind: 'drag'; readonly handle: string; readonly to: Px }
  | { readonly kind: 'drop'; readonly handle: string; readonly to: Px }
  | { readonly kind: 'select'; readonly handle: string }
  | { readonly kind: 'tap'; readonly at: Px }
  | { readonly kind: 'pan'; readonly dx: number; readonly dy: number }
  | { readonly kind: 'pinch'; readonly factor: number; readonly about: Px; readonly dx: number; readonly dy: number }
  | { readonly kind: 'discard' }

export const atRest: Gesture = { kind: 'rest' }

/** Movements below this [CSS px] are a tap, not a drag. */
const slack = 3

interface Step {
  readonly next: Gesture
  readonly effects: readonly Effect[]
}
const step = (next: Gesture, ...effects: Effect[]): Step => ({ next, effects })

export function gestureStep(state: Gesture, news: PointerNews): Step {
  switch (news.kind) {
    case 'down':
      return down(state, news)
    case 'move':
      return move(state, news.pointer, news.at)
    case 'up':
      return up(state, news.pointer, news.at)
    case 'cancel':
      return cancel(state, news.pointer)
    default:
      return assertNever(news)
  }
}

function down(state: Gesture, news: Extract<PointerNews, { kind: 'down' }>): Step {
  switch (state.kind) {
    case 'pinching':
      return step({ kind: 'pinching', fingers: new Map([...state.fingers, [news.pointer, news.at] as const]) })
    case 'placing':
    case 'dragging':
    case 'panning':
      if (!news.touch) return step(state)
      return step(
        {
          kind: 'pinching',
          fingers: new Map([
            [state.pointer, state.at],
            [news.pointer, news.at],
          ]),
        },
        { kind: 'discard' },
      )
    case 'rest':
      if (news.pans) return step({ kind: 'panning', pointer: news.pointer, at: news.at, moved: false })
      if (news.hit)
        return step(
          {
            kind: 'dragging',
            pointer: news.pointer,
            handle: news.hit.handle,
            grip: { x: news.hit.at.x - news.at.x, y: news.hit.at.y - news.at.y },
            at: news.at,
            moved: false,
          },
          { kind: 'select', handle: news.hit.handle },
        )
      if (news.places)
        return step({ kind: 'placing', pointer: news.pointer, at: news.at }, { kind: 'aim', at: news.at })
      return step({ kind: 'panning', pointer: news.pointer, at: news.at, moved: false })
    default:
      return assertNever(state)
  }
}

function move(state: Gesture, pointer: number, at: Px): Step {
  switch (state.kind) {
    case 'rest':
      return step(state)
    case 'placing':
      return state.pointer === pointer ? step({ ...state, at }, { kind: 'aim', at }) : step(state)
    case 'dragging': {
      if (state.pointer !== pointer) return step(state)
      const moved = state.moved || Math.hypot(at.x - state.at.x, at.y - state.at.y) > slack
      if (!moved) return step(state)
      const to = { x: at.x + state.grip.x, y: at.y + state.grip.y }
      return step({ ...state, at, moved }, { kind: 'drag', handle: state.handle, to })
    }
    case 'panning': {
      if (state.pointer !== pointer) return step(state)
      const dx = at.x - state.at.x
      const dy = at.y - state.at.y
      const moved = state.moved || Math.hypot(dx, dy) > slack
      return moved ? step({ ...state, at, moved }, { kind: 'pan', dx, dy }) : step(state)
    }
    case 'pinching': {
      const before = spread(state.fingers)
      if (!state.fingers.has(pointer)) return step(state)
      const fingers = new Map([...state.fingers, [pointer, at] as const])
      const after = spread(fingers)
      if (!before || !after) return step({ kind: 'pinching', fingers })
      return step(
        { kind: 'pinching', fingers },
        {
          kind: 'pinch',
          factor: before.apart > 0 ? after.apart / before.apart : 1,
          about: after.middle,
          dx: after.middle.x - before.middle.x,
          dy: after.middle.y - before.middle.y,
        },
      )
    }
    default:
      return assertNever(state)
  }
}

function up(state: Gesture, pointer: number, at: Px): Step {
  switch (state.kind) {
    case 'rest':
      return step(state)
    case 'placing':
      return state.pointer === pointer ? step(atRest, { kind: 'place', at }) : step(state)
    case 'dragging':
      if (state.pointer !== pointer) return step(state)
      if (!state.moved) return step(atRest)
      return step(atRest, {
        kind: 'drop',
        handle: state.handle,
        to: { x: at.x + state.grip.x, y: at.y + state.grip.y },
      })
    case 'panning':
      if (state.pointer !== pointer) return step(state)
      return state.moved ? step(atRest) : step(atRest, { kind: 'tap', at })
    case 'pinching':
      return withoutFinger(state, pointer)
    default:
      return assertNever(state)
  }
}

function cancel(state: Gesture, pointer: number): Step {
  if (state.kind === 'pinching') return withoutFinger(state, pointer)
  if (state.kind === 'rest' || state.pointer !== pointer) return step(state)
  return step(atRest, { kind: 'discard' })
}

/** A pinch ends when its last finger leaves: the one left over must not begin to place. */
function withoutFinger(state: Extract<Gesture, { kind: 'pinching' }>, pointer: number): Step {
  const fingers = new Map(state.fingers)
  fingers.delete(pointer)
  return step(fingers.size === 0 ? atRest : { kind: 'pinching', fingers })
}

function spread(fingers: ReadonlyMap<number, Px>): { apart: number; middle: Px } | null {
  const [a, b] = [...fingers.values()]
  if (!a || !b) return null
  return { apart: Math.hypot(a.x - b.x, a.y - b.y), middle: { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 } }
}
