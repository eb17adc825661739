/** Numbers in [0, 1) that depend on the seed alone. Source: mulberry32, public domain, by Tommy Ettinger. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
  }
}

/** The items in an order that depends on the seed alone. */
export function shuffled<Item>(items: readonly Item[], seed: number): Item[] {
  const random = seededRandom(seed)
  return items
    .map((item) => ({ item, key: random() }))
    .sort((a, b) => a.key - b.key)
    .map(({ item }) => item)
}
