import { existsSync, readFileSync, readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { ensureScene, testScenes } from '../../../samples/scenes.ts'
import { longRun } from '../../support/long-run.ts'
import { repository } from '../../support/repository.ts'

const folder = `${repository}tests/data/scenes`

describe('scenes stored as they were rendered', () => {
  test('are those of today’s sources: none is left over from a scene that was changed', async () => {
    const used = new Set<string>()
    for (const { name } of testScenes) {
      const stored = readdirSync(folder).find((one) => one.replace(/-[0-9a-f]{12}$/, '') === name)
      if (stored === undefined) continue
      const { clip, truth } = await ensureScene(name)
      expect([clip, truth].map((path) => path.startsWith(`${folder}/${stored}/`))).toEqual([true, true])
      expect(existsSync(clip) && existsSync(truth)).toBe(true)
      used.add(stored)
    }
    expect(readdirSync(folder).filter((one) => !used.has(one))).toEqual([])
  })

  // Where something small is drawn at once, it is drawn in every run; all of them take minutes.
  const redrawn = longRun ? testScenes.map(({ name }) => name) : ['free-fall']
  test.each(redrawn)('%s drawn once more has the same truth', { timeout: 600_000 }, async (name) => {
    const before = readFileSync((await ensureScene(name)).truth, 'utf8')
    const { truth } = await ensureScene(name, { again: true })
    expect(truth).toContain('.cache')
    expect(readFileSync(truth, 'utf8')).toBe(before)
  })
})
