/** JSON with keys in stable (code unit) order, so that two equal records give equal bytes and a diff shows what changed. */
export function stableJson(value: unknown, indent = 1): string {
  return JSON.stringify(sorted(value), null, indent) + '\n'
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted)
  if (value === null || typeof value !== 'object') return value
  const entries = Object.entries(value).filter(([, item]) => item !== undefined)
  entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
  return Object.fromEntries(entries.map(([key, item]) => [key, sorted(item)]))
}
