import type { Estimate } from '../../record/index.ts'

/** What one cell holds; null where there is nothing to say. */
export type Cell = string | number | boolean | null

export type FieldType = 'string' | 'number' | 'integer' | 'boolean'

/** How a column is described to whoever reads the table. */
export interface Field {
  readonly name: string
  readonly type: FieldType
  readonly title: string
  /** Unit in UCUM (Unified Code for Units of Measure); absent for text and for numbers that only name or count. */
  readonly unit?: string
  readonly description?: string
  /** Never empty. */
  readonly required?: boolean
  /** All values that may stand there. */
  readonly oneOf?: readonly string[]
}

export interface Column<Row> extends Field {
  readonly of: (row: Row) => Cell
}

export interface ForeignKey {
  readonly fields: readonly string[]
  readonly table: string
  readonly refersTo: readonly string[]
}

/** A table ready to be written: `rows` makes its cells as they are read, in the order of the fields. */
export interface Table {
  /** Also the file's name, without its ending. */
  readonly name: string
  readonly title: string
  readonly description: string
  readonly fields: readonly Field[]
  readonly primaryKey: readonly string[]
  readonly foreignKeys: readonly ForeignKey[]
  readonly rows: () => Iterable<readonly Cell[]>
}

/** A table from its columns and whatever its rows are made of. */
export function tableOf<Row>(
  about: Omit<Table, 'fields' | 'rows'>,
  columns: readonly Column<Row>[],
  items: () => Iterable<Row>,
): Table {
  return {
    ...about,
    fields: columns.map(({ of: _of, ...field }) => field),
    *rows() {
      for (const item of items()) yield columns.map((column) => column.of(item))
    },
  }
}

export const text = <Row>(
  name: string,
  title: string,
  of: (row: Row) => string | null,
  more: Partial<Field> = {},
): Column<Row> => ({ name, type: 'string', title, ...more, of })

export const number = <Row>(
  name: string,
  unit: string,
  title: string,
  of: (row: Row) => number | null,
  more: Partial<Field> = {},
): Column<Row> => ({ name, type: 'number', title, unit, ...more, of })

export const whole = <Row>(
  name: string,
  title: string,
  of: (row: Row) => number | null,
  more: Partial<Field> = {},
): Column<Row> => ({ name, type: 'integer', title, ...more, of })

export const truth = <Row>(
  name: string,
  title: string,
  of: (row: Row) => boolean | null,
  more: Partial<Field> = {},
): Column<Row> => ({ name, type: 'boolean', title, ...more, of })

/**
 * A measured number as six columns: the value, its standard uncertainty, half width and ends of its interval, degrees of freedom.
 * `suffix` names the unit in the columns (`_m_s`), empty for pure numbers.
 */
export function measured<Row>(
  name: string,
  suffix: string,
  unit: string,
  title: string,
  of: (row: Row) => Estimate | null | undefined,
): Column<Row>[] {
  const part = (ending: string, what: string, read: (estimate: Estimate) => number): Column<Row> =>
    number(`${name}${ending}${suffix}`, unit, `${title}${what}`, (row) => {
      const estimate = of(row)
      return estimate ? read(estimate) : null
    })
  return [
    part('', '', (e) => e.value),
    part('_u', ', standard uncertainty', (e) => e.u),
    part('_expanded', ', half width of its interval', (e) => e.U),
    part('_low', ', lower end of its interval', (e) => e.interval[0]),
    part('_high', ', upper end of its interval', (e) => e.interval[1]),
    number(`${name}_dof`, '1', `${title}, degrees of freedom (INF: known exactly)`, (row) => of(row)?.dof ?? null),
  ]
}
