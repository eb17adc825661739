/** A pure step from one schema version to the next. Steps are contiguous; each has a kept fixture in the tests. */
type Step = (old: object) => object

/** steps[i] turns version i + 1 into version i + 2. Version 1 is the first, so there is none yet. */
const steps: readonly Step[] = []

/** Applies every step from `version` on. `version` must be at least 1. */
export function migrate(data: object, version: number): object {
  return steps.slice(version - 1).reduce<object>((record, step) => step(record), data)
}
