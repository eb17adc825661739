export * from './import/index.ts'
export * from './resimulate/index.ts'
export * from './simulators/index.ts'
export * from './tables/index.ts'
