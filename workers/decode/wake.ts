/** A bell that one waiter listens for: `ring` wakes it, also when it rang just before. */
export class Bell {
  #rung = false
  #wake: (() => void) | null = null

  ring(): void {
    this.#rung = true
    this.#wake?.()
  }

  async heard(): Promise<void> {
    if (!this.#rung) await new Promise<void>((resolve) => (this.#wake = resolve))
    this.#wake = null
    this.#rung = false
  }
}
