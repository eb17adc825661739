export * from './bundle.ts'
export { csvBytes, numberText, plainText, safeText } from './csv.ts'
export type { Cell, Field, FieldType, ForeignKey, Table } from './table.ts'
export * from './zip.ts'
