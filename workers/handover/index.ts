export * from './tables/index.ts'
