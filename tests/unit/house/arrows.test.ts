import { ESLint } from 'eslint'
import { describe, expect, test } from 'vitest'

const root = new URL('../../..', import.meta.url).pathname
const eslint = new ESLint({ cwd: root, overrideConfigFile: `${root}/.config/eslint.arrows.js` })

async function complaints(filePath: string, code: string): Promise<string[]> {
  const [result] = await eslint.lintText(code, { filePath: root + filePath })
  return (result?.messages ?? []).map((message) => message.ruleId ?? message.message)
}

describe('the import arrows fail the build when they are run against', () => {
  test.each([
    ['a computing room that reaches into the page', 'workers/physics/rooms-probe.ts', '../../web/record/store.ts'],
    ['the record that reaches into a room', 'workers/record/rooms-probe.ts', '../fit/numerics/random.ts'],
    ['physics that reaches forward into fit', 'workers/physics/rooms-probe.ts', '../fit/numerics/random.ts'],
    ['locating that reaches into measuring', 'workers/locate/rooms-probe.ts', '../measure/slope.ts'],
    [
      'the page that reaches past the bridge into decoding',
      'web/shell/rooms-probe.ts',
      '../../workers/decode/sniff.ts',
    ],
    ['a room that reaches into the tests', 'workers/fit/rooms-probe.ts', '../../tests/run.ts'],
  ])('%s', async (_claim, file, target) => {
    expect(await complaints(file, `export * from '${target}'\n`)).toEqual(['import-x/no-restricted-paths'])
  })

  test('along the arrows nothing is said', async () => {
    expect(
      await complaints(
        'workers/fit/rooms-probe.ts',
        `export * from '../measure/slope.ts'\nexport * from '../record/index.ts'\n`,
      ),
    ).toEqual([])
    expect(await complaints('web/shell/rooms-probe.ts', `export * from '../../workers/record/index.ts'\n`)).toEqual([])
  })
})
