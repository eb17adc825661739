import type { Distribution, SlowlaneRecord, Source, Stated } from '../../workers/record/index.ts'

/** Writes stated values with a source of their own into a record under construction. */
export class Statements {
  constructor(private readonly record: SlowlaneRecord) {}

  /** ± half, every value within equally likely. */
  within(id: string, name: string, value: number, half: number, unit: Source['unit'], basis: string): Stated {
    return this.put(id, name, value, { kind: 'rectangular', half }, unit, basis)
  }

  /** A relative ± half. */
  share(id: string, name: string, value: number, half: number, basis: string): Stated {
    const stated = this.put(id, name, value, { kind: 'rectangular', half }, '1', basis)
    this.record.sources[id]!.relative = true
    return stated
  }

  private put(
    id: string,
    name: string,
    value: number,
    distribution: Distribution,
    unit: Source['unit'],
    basis: string,
  ): Stated {
    this.record.sources[id] = { id, name, unit, distribution, basis }
    return { value, sources: [id] }
  }
}
