export { importAsPositions, type Known, type PositionsProblem, type PositionsTarget } from './as-positions.ts'
export * from './columns.ts'
export {
  importedRuns,
  type ImportedRun,
  type ImportedRuns,
  type ImportProblem,
  type RejectedRow,
  type RejectedWhy,
} from './imported-runs.ts'
export { importIntoClip, type ClipImportProblem, type ClipTarget } from './into-clip.ts'
export { addImport, type Import, type NewId, type RunTarget } from './record-parts.ts'
export * from './sentences.ts'
export * from './sheet.ts'
