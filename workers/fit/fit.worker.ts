import type { FitCalls } from '../bridge/fit-calls.ts'
import { serveCalls } from '../bridge/serve-calls.ts'
import { laneResults } from './lane-results.ts'

serveCalls<FitCalls, never>(self, {
  laneResults: ({ record }) => Promise.resolve(laneResults(record)),
})
