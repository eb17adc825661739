import { BlobSource } from 'mediabunny'

/** Reads of one place before it counts as going in circles. Clips of every container, sound or damaged, stayed below 400. */
const mostReads = 5000

type Read = (this: BlobSource, start: number, ...rest: unknown[]) => unknown

// What mediabunny reads through is not in its types; a test holds on to it.
const { _read: readBlob } = BlobSource.prototype as unknown as { _read: Read }

/** A file for mediabunny, which in damaged containers may read one place again and again (1.61: `resync` in Matroska stands
 *  still eight bytes before the end; boxes of no length). What it has in its cache it reads without letting anything else in,
 *  so nothing but the read itself can stop it: such a place then counts as lying behind the end of the file. */
export class GuardedSource extends BlobSource {
  /** How often each place was read since the thread last came to other things. */
  readonly #times = new Map<number, number>()
  #circled = false

  /** Whether reading went in circles, so that frames behind may not have been found. */
  get circled(): boolean {
    return this.#circled
  }

  _read(start: number, ...rest: unknown[]): unknown {
    if (this.#times.size === 0) setTimeout(() => this.#times.clear())
    const times = (this.#times.get(start) ?? 0) + 1
    this.#times.set(start, times)
    if (times <= mostReads) return readBlob.call(this, start, ...rest)
    this.#circled = true
    return null
  }
}
