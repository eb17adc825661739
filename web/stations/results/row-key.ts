import type { LaneResult } from '../../../workers/fit/results.ts'

/** Names one row of the table: a lane in a finish. */
export const rowKey = (result: Pick<LaneResult, 'laneId' | 'finishId'>): string => `${result.laneId}.${result.finishId}`
