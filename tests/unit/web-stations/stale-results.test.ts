import { produce } from 'immer'
import { expect, test } from 'vitest'
import { sourceBookOf } from '../../../workers/fit/index.ts'
import { bookOf } from '../../../web/stations/compare/compared.ts'
import { resultsStore } from '../../../web/stations/results/results-store.ts'
import { sceneRecord } from '../measure/scene.ts'

test('results that lag behind a change may name what it took away: a lens that nobody had looked at, then straight edges', () => {
  const before = produce(sceneRecord(), (draft) => {
    delete draft.views['v']!.lens
  })
  const after = produce(before, (draft) => {
    draft.views['v']!.lens = { kind: 'edges', edges: [] }
  })
  const gone = Object.keys(sourceBookOf(before).sources).filter((id) => !(id in sourceBookOf(after).sources))
  expect(gone.length).toBeGreaterThan(0)
  resultsStore.setState({ of: before })
  for (const id of gone) expect(bookOf(after).sources[id]).toBeDefined()
  resultsStore.setState({ of: after })
  for (const id of gone) expect(bookOf(after).sources[id]).toBeUndefined()
})
