/**
 * Asks for one thing at a time and always for the newest wish: what was wished in between is never asked for, an answer to an old wish is dropped.
 * Holding a key or dragging the ruler therefore shows as many frames as can be had, and ends on the right one.
 */
export interface NewestOnly<Wish> {
  wish(wish: Wish): void
  /** Gives up what is under way and forgets what was wished. */
  stop(): void
}

export function newestOnly<Wish, Answer>(
  ask: (wish: Wish, signal: AbortSignal) => Promise<Answer>,
  on: {
    answer(answer: Answer, wish: Wish): void
    /** The answer came, but something newer is wished: show it if it helps, free what it holds. */
    passed(answer: Answer, wish: Wish): void
    failed(cause: unknown, wish: Wish): void
  },
): NewestOnly<Wish> {
  let waiting: { wish: Wish } | null = null
  let running: AbortController | null = null

  const next = (): void => {
    const wanted = waiting
    if (!wanted || running) return
    waiting = null
    const mine = new AbortController()
    running = mine
    ask(wanted.wish, mine.signal).then(
      (answer) => {
        if (mine.signal.aborted) on.passed(answer, wanted.wish)
        else if (waiting) on.passed(answer, wanted.wish)
        else on.answer(answer, wanted.wish)
        settle(mine)
      },
      (cause: unknown) => {
        if (!mine.signal.aborted && !waiting) on.failed(cause, wanted.wish)
        settle(mine)
      },
    )
  }
  const settle = (mine: AbortController): void => {
    if (running === mine) running = null
    next()
  }
  return {
    wish(wish) {
      waiting = { wish }
      next()
    },
    stop() {
      waiting = null
      running?.abort()
      running = null
    },
  }
}
