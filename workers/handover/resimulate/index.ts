export * from './integrate.ts'
export * from './lane-law.ts'
export * from './run.ts'
