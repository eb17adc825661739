/** Damage and malice done to a record file; what depends on `random` depends on its seed alone. */
type Random = () => number

type Json = null | boolean | number | string | Json[] | { [key: string]: Json }

/** Written as text, because no value in memory says them. */
const rawNumbers = ['NaN', 'Infinity', '-Infinity', '1e999', '-1e999', '1e-999', '00012', '0x10', '1_000', '-0']

const strings = [
  '',
  '\u0000',
  '\ud800',
  'a\udc00b',
  '<img src=x onerror="globalThis.polluted = 1">',
  '</script><script>globalThis.polluted = 1</script>',
  '__proto__',
  'constructor',
  '\u202egnp.exe',
  'x'.repeat(5000),
  '../../etc/passwd',
]

const keys = [
  '__proto__',
  'constructor',
  'prototype',
  'toString',
  'hasOwnProperty',
  '',
  'unknown',
  'polluted',
  'a b',
  '0',
]

const numbers = [0, -1, 1.5, -0.001, 1e308, -1e308, 5e-324, 2 ** 53, -(2 ** 53), 2 ** 31, 65_536.5, 20_001]

const pick = <T>(from: readonly T[], random: Random): T => from[Math.floor(random() * from.length)]!

const rawMark = '\u0001raw:'

/** Any value that does not belong. */
function stranger(random: Random): Json {
  const kinds: readonly (() => Json)[] = [
    () => null,
    () => random() < 0.5,
    () => pick(numbers, random),
    () => pick(strings, random),
    () => rawMark + pick(rawNumbers, random),
    () => [],
    () => ({}),
    () => ({ polluted: 'yes' }),
    () => Array.from({ length: pick([20_001, 100_000], random) }, () => 1),
    () => rawMark + '['.repeat(50_000) + ']'.repeat(50_000),
    () => rawMark + '{"a":'.repeat(30_000) + '1' + '}'.repeat(30_000),
    () => rawMark + '{"__proto__":{"polluted":1},"constructor":{"prototype":{"polluted":1}}}',
  ]
  return pick(kinds, random)()
}

interface Place {
  readonly holder: Json[] | { [key: string]: Json }
  readonly key: string | number
}

/** A place of the tree; every level is as likely as another, or the marks would take them all. */
function placeIn(tree: Json, random: Random): Place | undefined {
  let place: Place | undefined
  for (let at = tree; typeof at === 'object' && at !== null;) {
    const own = Array.isArray(at) ? at.length : Object.keys(at).length
    if (own === 0) break
    const n = Math.floor(random() * own)
    const key = Array.isArray(at) ? n : Object.keys(at)[n]!
    place = { holder: at, key }
    if (random() < 0.2) break
    at = Array.isArray(at) ? at[n]! : at[key]!
  }
  return place
}

const get = ({ holder, key }: Place): Json => (holder as Record<string | number, Json>)[key]!

function set({ holder, key }: Place, value: Json): void {
  Object.defineProperty(holder, key, { value, enumerable: true, configurable: true, writable: true })
}

/** One change of the tree. */
function changeTree(tree: Json, random: Random): void {
  const place = placeIn(tree, random)
  if (!place) return
  const { holder, key } = place
  const value = get(place)
  switch (Math.floor(random() * 7)) {
    case 0:
      return set(place, stranger(random))
    case 1:
      if (Array.isArray(holder)) holder.splice(Number(key), 1)
      else delete holder[key]
      return
    case 2: {
      const name = pick(keys, random)
      if (Array.isArray(holder)) holder.splice(Number(key), 0, stranger(random))
      else set({ holder, key: name }, stranger(random))
      return
    }
    case 3: {
      if (Array.isArray(holder)) return void holder.reverse()
      const name = pick(keys, random)
      delete holder[key]
      return set({ holder, key: name }, value)
    }
    case 4:
      if (typeof value === 'number')
        return set(place, pick([-value, value + 1, value * 1.01, value * 1e6, value + 0.5], random))
      if (typeof value === 'string') return set(place, pick(strings, random))
      if (Array.isArray(value)) return set(place, [...value, ...value])
      return set(place, [value])
    case 5:
      if (Array.isArray(value)) return set(place, value.slice(0, Math.floor(random() * value.length)))
      return set(place, typeof value === 'number' ? String(value) : Number(value))
    default: {
      const other = placeIn(tree, random)
      if (other) set(place, structuredClone(get(other)))
    }
  }
}

/** One change of the text itself. */
function changeText(text: string, random: Random): string {
  const at = Math.floor(random() * text.length)
  switch (Math.floor(random() * 6)) {
    case 0:
      return text.slice(0, at)
    case 1:
      return text.slice(0, at) + text.slice(at + 1 + Math.floor(random() * 200))
    case 2:
      return text.slice(0, at) + String.fromCharCode(Math.floor(random() * 0x1_0000)) + text.slice(at + 1)
    case 3:
      return text.slice(0, at) + text.slice(Math.floor(random() * text.length))
    case 4:
      return text.replace(
        /"schema": ?\d+/,
        `"schema": ${pick(['2', '0', '-1', '1.5', '"1"', 'null', '1e9', '[1]'], random)}`,
      )
    default:
      // The same key twice: the last one counts.
      return text.replace('{', `{"__proto__": {"polluted": 1}, "lanes": ${pick(['{}', '[]', 'null', '1'], random)},`)
  }
}

/** A record file after a change or two. */
export function mutated(text: string, random: Random): string {
  let out = text
  if (random() < 0.8) {
    const tree = JSON.parse(text) as Json
    const changes = 1 + Math.floor(random() * 1.3)
    for (let i = 0; i < changes; i++) changeTree(tree, random)
    out = JSON.stringify(tree).replaceAll(/"\\u0001raw:((?:[^"\\]|\\.)*)"/g, (_, raw: string) =>
      raw.replaceAll('\\"', '"'),
    )
  } else out = changeText(text, random)
  return out
}
