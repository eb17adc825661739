import { describe, expect, test } from 'vitest'
import { clockTime, spanOf } from '../../../web/format/when.ts'
import { capsOf, chordOf } from '../../../web/shell/keys.ts'
import { paceOf } from '../../../web/shell/progress.ts'
import { commonScale } from '../../../web/parts/interval-bar.tsx'
import { drawingOf } from '../../../web/plots/drawing.ts'
import { printTheme } from '../../../web/plots/theme.ts'

const pressed = { ctrlKey: false, metaKey: false, altKey: false, shiftKey: false }

describe('keys', () => {
  test.each([
    [{ key: 'ArrowLeft', shiftKey: true }, 'Shift+ArrowLeft'],
    [{ key: 'z', ctrlKey: true }, 'Mod+z'],
    [{ key: 'Z', ctrlKey: true, shiftKey: true }, 'Mod+Shift+z'],
    [{ key: 'z', metaKey: true }, 'Mod+z'],
    [{ key: '?', shiftKey: true }, '?'],
    [{ key: 'N' }, 'n'],
    [{ key: 'ArrowUp', altKey: true }, 'Alt+ArrowUp'],
  ])('%o is named %s', (event, chord) => {
    expect(chordOf({ ...pressed, ...event })).toBe(chord)
  })

  test('caps are written as they stand on the keys', () => {
    expect(capsOf('Shift+ArrowLeft')).toEqual(['Shift', '←'])
    expect(capsOf('n')).toEqual(['N'])
    expect(capsOf('+')).toEqual(['+'])
  })
})

describe('progress', () => {
  test('tells rate and time left from what is done, and nothing before half a second', () => {
    const work = { done: 120, total: 480, startedAt_ms: 1000 }
    expect(paceOf(work, 1400)).toEqual({ fraction: 0.25, rate_per_s: null, left_s: null })
    expect(paceOf(work, 3000)).toEqual({ fraction: 0.25, rate_per_s: 60, left_s: 6 })
  })

  test('says no time left when it is not known how much there is', () => {
    expect(paceOf({ done: 10, total: 0, startedAt_ms: 0 }, 2000)).toEqual({
      fraction: null,
      rate_per_s: 5,
      left_s: null,
    })
  })

  test('durations are rounded up, in words', () => {
    expect([spanOf(0.2), spanOf(59.2), spanOf(61), spanOf(3600), spanOf(4800)]).toEqual([
      '1 s',
      '60 s',
      '2 min',
      '1 h',
      '1 h 20 min',
    ])
  })

  test('a time that is none is said to be unknown', () => {
    expect(clockTime('yesterday')).toBe('at an unknown time')
  })
})

describe('a scale common to several intervals', () => {
  test('holds them all, with round figures inside', () => {
    const scale = commonScale([
      [0.0041, 0.0085],
      [0.0091, 0.0133],
    ])
    expect(scale.from).toBeLessThan(0.0041)
    expect(scale.to).toBeGreaterThan(0.0133)
    expect(scale.ticks).toEqual([0.004, 0.006, 0.008, 0.01, 0.012])
  })

  test('stands also with one value, or none', () => {
    expect(commonScale([[2, 2]]).to).toBeGreaterThan(2)
    expect(commonScale([]).ticks.every(Number.isFinite)).toBe(true)
    expect(commonScale([[Number.NaN, 1]]).to).toBeGreaterThan(1)
  })
})

describe('figures as plotly draws them', () => {
  const axis = { label: 'time', unit: 's' }
  const figure = (x: readonly number[], y: readonly number[], name = 'run 1') => ({
    name: 'test',
    caption: 'position, mm against s',
    x: axis,
    y: { label: 'position', unit: 'mm' },
    curves: [{ name, kind: 'line' as const, x, y, ink: { lane: 1 }, dash: '8 4', direct: name }],
  })

  test('what is no number leaves a gap and never reaches the drawing', () => {
    const { data } = drawingOf(figure([0, 1, 2, 3], [0, Number.NaN, Infinity, 3]), printTheme, { decimal: '.' })
    expect(data[0]?.y).toEqual([0, null, null, 3])
  })

  test('a label stands beside the last point that is there', () => {
    const { layout } = drawingOf(figure([0, 1, 2], [0, 5, Number.NaN]), printTheme, { decimal: '.' })
    expect(layout.annotations[0]).toMatchObject({ x: 1, y: 5, text: 'run 1' })
  })

  test('names of people’s lanes stay text: no markup, no template', () => {
    const { data, layout } = drawingOf(figure([0], [0], '<b>%{x}</b>'), printTheme, { decimal: '.' })
    expect(layout.annotations[0]?.text).not.toMatch(/<b>|%\{/)
    expect(data[0]?.hovertemplate).not.toMatch(/<b>|%\{x\}.*%\{x\}/)
  })

  test('a lane keeps its dash and its colour', () => {
    const { data } = drawingOf(figure([0, 1], [0, 1]), printTheme, { decimal: '.' })
    expect(data[0]?.line).toMatchObject({ dash: '8px,4px', color: printTheme.lanes[1] })
  })

  test('treads lie between their edges without risers', () => {
    const { data } = drawingOf(
      {
        ...figure([], []),
        curves: [{ name: 'r', kind: 'treads', x: [0, 10, 20], y: [1, 2, 2], ink: 'ink' }],
      },
      printTheme,
      { decimal: ',' },
    )
    expect(data[0]?.x).toEqual([0, 10, null, 10, 20, null])
    expect(data[0]?.y).toEqual([1, 1, null, 2, 2, null])
  })
})
