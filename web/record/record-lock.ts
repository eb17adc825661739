/** One tab writes a record; the others look. Released by the browser when the tab goes, however it goes. */
export type LockOutcome =
  | { kind: 'held'; release: () => void }
  /** Another tab has it. `free` resolves when this tab got it after all; `giveUp` stops waiting. */
  | { kind: 'taken'; free: Promise<() => void>; giveUp: () => void }
  /** No locks in this browser or on this address: two tabs are not told apart. */
  | { kind: 'unknown' }

export async function lockRecord(id: string): Promise<LockOutcome> {
  // Absent outside secure contexts, whatever the type says.
  const locks: LockManager | undefined = navigator.locks
  if (!locks) return { kind: 'unknown' }
  const name = `slowlane-record-${id}`
  const now = await request(locks, name, { ifAvailable: true })
  if (now) return { kind: 'held', release: now }
  const waiting = new AbortController()
  const free = request(locks, name, { signal: waiting.signal }).then((release) => {
    if (!release) throw new Error(`the lock of record ${id} was granted without being given`)
    return release
  })
  // Giving up is not a fault.
  free.catch(() => undefined)
  return { kind: 'taken', free, giveUp: () => waiting.abort() }
}

/** Resolves with the release once the lock is held, with undefined when it is not available. */
function request(locks: LockManager, name: string, options: LockOptions): Promise<(() => void) | undefined> {
  return new Promise((resolve, reject) => {
    locks
      .request(name, options, (lock) => {
        if (!lock) {
          resolve(undefined)
          return undefined
        }
        return new Promise<void>((release) => resolve(release))
      })
      .catch(reject)
  })
}
