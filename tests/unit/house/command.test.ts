import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { showValue } from '../../../web/format/value.ts'
import { runCommand } from '../../../web/server/command/command.ts'
import { resultsBundle, resultsJson, simulatorForms, zipOf } from '../../../workers/handover/index.ts'
import { sourceBookOf } from '../../../workers/fit/index.ts'
import { stableJson, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { demo, demoFile } from '../../support/demo-record.ts'
import { RecordBuilder, constantAcceleration } from '../../support/record-builder.ts'
import { repository } from '../../support/repository.ts'

const folder = mkdtempSync(join(tmpdir(), 'slowlane-command-'))
afterAll(() => rmSync(folder, { recursive: true }))
const at = '2026-01-02T03:04:05Z'

async function command(...words: string[]): Promise<{ exit: number; out: string; complaints: string }> {
  let [out, complaints] = ['', '']
  const exit = await runCommand(words, {
    out: (text) => (out += text),
    complain: (text) => (complaints += text),
    version: '9.9.9',
    now: () => at,
  })
  return { exit, out, complaints }
}

let files = 0
function fileOf(record: SlowlaneRecord | string): string {
  const file = join(folder, `record-${files++}.json`)
  writeFileSync(file, typeof record === 'string' ? record : stableJson(record))
  return file
}

/** A lane with a result, and on wish one without. */
function small(withStump: boolean): SlowlaneRecord {
  const builder = new RecordBuilder().lane('A').lane('B', { z_m: 0.2 })
  for (const v of [0.3, 0.31]) builder.run({ lane: 'A', s: constantAcceleration(0.01, v, 0.1), to: 200 })
  if (withStump) builder.run({ lane: 'B', s: constantAcceleration(0.01, 0.3, 0), to: 4 })
  return builder.record
}

describe('slowlane results', () => {
  test('prints a row for each lane and finish with the numbers of the page', async () => {
    const { record, results } = demo()
    const { exit, out, complaints } = await command('results', demoFile)
    expect([exit, complaints]).toEqual([0, ''])
    const rows = out.trim().split('\n').slice(-results.length)
    for (const [i, result] of results.entries()) {
      const main = result.series[result.main!]!
      for (const of of [result.crr!, main.acceleration, main.entry!.filmed, main.exit!.filmed])
        expect(rows[i]).toContain(showValue(of.value, of.U, '', { decimal: '.' }).text)
      expect(rows[i]!.startsWith(record.lanes[result.laneId]!.key)).toBe(true)
    }
  })

  test('writes the bytes that the rooms give: CSV folder, zip, JSON, MJCF', async () => {
    const { record, results } = demo()
    const options = { createdAt: at, version: '9.9.9', results }
    const [csv, zip, json, mjcf] = [
      join(folder, 'deep/er'),
      join(folder, 'all.zip'),
      join(folder, 'r.json'),
      join(folder, 'l.xml'),
    ]
    const { exit, complaints } = await command(
      'results',
      demoFile,
      '--csv',
      csv,
      '--zip',
      zip,
      '--json',
      json,
      '--mjcf',
      mjcf,
    )
    expect([exit, complaints]).toEqual([0, ''])
    const bundle = resultsBundle(record, options)
    expect(readdirSync(csv).sort()).toEqual(bundle.map(({ path }) => path).sort())
    for (const { path, bytes } of bundle) expect(Buffer.compare(readFileSync(join(csv, path)), bytes), path).toBe(0)
    expect(Buffer.compare(readFileSync(zip), zipOf(bundle, at))).toBe(0)
    expect(readFileSync(json, 'utf8')).toBe(resultsJson(record, results, options))
    const models = results.map(
      (result) =>
        simulatorForms(record, sourceBookOf(record), result).forms.find(({ id }) => id === 'mjcf-lane')!.file!.text,
    )
    const written = results.map(({ laneId, finishId }) =>
      readFileSync(join(folder, `l-${laneId}-${finishId}.xml`), 'utf8'),
    )
    expect(written).toEqual(models)
  })

  test('of one lane and finish writes one MJCF under the name that was given', async () => {
    const file = join(folder, 'one.xml')
    const { exit, out } = await command('results', demoFile, '--lane', 'b', '--finish', 'sanded 400', '--mjcf', file)
    expect(exit).toBe(0)
    expect(readFileSync(file, 'utf8')).toContain('<mujoco')
    expect(out.trim().split('\n').slice(2)).toHaveLength(2)
  })

  test('--json - prints the results and nothing else', async () => {
    const { out } = await command('results', fileOf(small(false)), '--json', '-')
    const read = JSON.parse(out) as { results: { crr: { value: number; U: number } }[]; created: string }
    expect(read.created).toBe(at)
    expect(read.results).toHaveLength(1)
    expect(read.results[0]!.crr.value).toBeGreaterThan(0)
  })

  test('ends with 1 where a lane has no result, says why, and writes the rest', async () => {
    const csv = join(folder, 'stump')
    const { exit, out, complaints } = await command(
      'results',
      fileOf(small(true)),
      '--csv',
      csv,
      '--mjcf',
      join(folder, 'stump.xml'),
    )
    expect(exit).toBe(1)
    expect(out).toContain('no C_rr yet')
    expect(complaints).toMatch(/^Lane B, as cut: Run 1 of lane B has \d usable marks?; .*\.$/m)
    expect(complaints).toMatch(/^Lane B, as cut, MJCF: .*\.$/m)
    expect(existsSync(join(csv, 'lanes.csv'))).toBe(true)
    expect(readdirSync(folder).filter((name) => name.startsWith('stump-'))).toEqual(['stump-A-cut.xml'])
  })

  test('ends with 1 and a sentence where no run is marked', async () => {
    const { exit, out } = await command('results', fileOf(new RecordBuilder().record))
    expect(exit).toBe(1)
    expect(out).toContain('Mark a run of at least four frames')
  })

  test.each([
    [[], 'Say what to do'],
    [['results'], 'Name the record'],
    [['result', 'x.json'], 'is no command'],
    [['results', 'a.json', 'b.json'], 'One record at a time'],
    [['results', 'a.json', '--cvs', 'x'], 'There is no option --cvs'],
    [['results', 'a.json', '--csv'], 'needs a value'],
    [['results', 'a.json', '--zip='], '--zip needs a value'],
    [['results', 'a.json', '--help=1'], '--help takes no value'],
    [['results', 'a.json', '--at', 'yesterday'], 'is no time'],
    [['results', demoFile, '--lane', 'Z'], 'The record holds no lane “Z”. It holds A “hour return”'],
    [['results', demoFile, '--finish', 'oiled'], 'The record holds no finish “oiled”'],
  ])('ends with 2 and a sentence for %j', async (words, says) => {
    const { exit, out, complaints } = await command(...words)
    expect([exit, out]).toEqual([2, ''])
    expect(complaints).toContain(says)
    expect(complaints).toMatch(/\.\n$/)
  })

  test('ends with 3 and a sentence for what is no record', async () => {
    const newer = { ...small(false), schema: 99 }
    for (const [file, says] of [
      [join(folder, 'nowhere.json'), 'there is no such file'],
      [folder, 'is a folder'],
      [fileOf(''), 'it is no JSON'],
      [fileOf('{"schema":'), 'it is no JSON'],
      [fileOf('[]'), 'names no record format'],
      [fileOf(JSON.stringify(newer)), 'its format is 99'],
      [fileOf(JSON.stringify({ ...small(false), title: 7 })), 'damaged at title'],
    ] as const) {
      const { exit, out, complaints } = await command('results', file)
      expect([exit, out]).toEqual([3, ''])
      expect(complaints).toContain(says)
    }
  })

  test('reads a file with a byte order mark', async () => {
    expect((await command('results', fileOf('\uFEFF' + stableJson(small(false))))).exit).toBe(0)
  })

  test('ends with 4 and a sentence where it cannot write', async () => {
    const inTheWay = fileOf('a file')
    const { exit, complaints } = await command('results', fileOf(small(false)), '--csv', inTheWay)
    expect(exit).toBe(4)
    expect(complaints).toMatch(/could not be written \(.*\)\. Name another place\.\n$/)
  })
})

describe('the package’s bin', () => {
  const { bin } = JSON.parse(readFileSync(`${repository}package.json`, 'utf8')) as { bin: { slowlane: string } }

  test('runs from any folder, prints as in this process, and ends with the code', () => {
    const elsewhere = join(folder, 'elsewhere')
    mkdirSync(elsewhere)
    // A stranger's settings must not change how the command is built.
    writeFileSync(join(elsewhere, 'tsconfig.json'), '{ broken')
    const run = (...words: string[]) =>
      spawnSync(process.execPath, [join(repository, bin.slowlane), ...words], { cwd: elsewhere, encoding: 'utf8' })
    const version = run('--version')
    expect([version.status, version.stderr]).toEqual([0, ''])
    expect(version.stdout).toMatch(/^\d+\.\d+\.\d+\n$/)
    const file = fileOf(small(true))
    const results = run('results', file)
    expect(results.status).toBe(1)
    expect(results.stdout).toContain('C_rr 95 %')
    const piped = spawnSync(process.execPath, [join(repository, bin.slowlane), 'results', '-'], {
      input: readFileSync(file),
      encoding: 'utf8',
    })
    expect(piped.stdout).toBe(results.stdout)
  })

  test('npm finds it in a plain checkout', () => {
    const run = spawnSync('npm', ['exec', '--no', '--offline', '--', 'slowlane', '--help'], {
      cwd: repository,
      encoding: 'utf8',
    })
    expect(run.status).toBe(0)
    for (const option of ['--csv', '--json', '--zip', '--mjcf', '--lane', 'Exit codes'])
      expect(run.stdout).toContain(option)
  })

  test('prints the JSON Schema that is published', async () => {
    const published: unknown = JSON.parse(
      readFileSync(`${repository}workers/record/published/record-v1.schema.json`, 'utf8'),
    )
    expect(JSON.parse((await command('schema')).out)).toEqual(published)
  })
})
