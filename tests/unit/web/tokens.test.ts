import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { repository } from '../../support/repository.ts'

const css = readFileSync(`${repository}web/tokens.css`, 'utf8')

/** The colours of the block that a selector opens. */
function tokensOf(selector: string): Map<string, string> {
  const from = css.indexOf(`${selector} {`)
  const block = css.slice(from, css.indexOf('}', from))
  return new Map(
    [...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, value]) => [name ?? '', value ?? '']),
  )
}

/** Relative luminance and contrast ratio. Source: WCAG 2.2, definitions of “relative luminance” and “contrast ratio”. */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5]
    .map((at) => parseInt(hex.slice(at, at + 2), 16) / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}
const contrast = (a: string, b: string): number => {
  const [light = 0, dark = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x)
  return (light + 0.05) / (dark + 0.05)
}

const light = tokensOf(':root')
const themes = { light, dark: tokensOf(":root[data-theme='dark']") }

describe.each(Object.entries(themes))('%s', (_name, tokens) => {
  const colour = (name: string) => {
    const value = tokens.get(name)
    if (!value) throw new Error(`no token ${name}`)
    return value
  }
  const grounds = ['paper', 'sheet', 'accent-ground']
  const words = ['ink', 'ink-2', 'accent', ...[0, 1, 2, 3, 4, 5, 6, 7].map((n) => `lane-${n}`)]

  test.each(words.flatMap((word) => grounds.map((ground) => [word, ground] as const)))(
    'text in %s on %s has the contrast of AA (4.5)',
    (word, ground) => {
      expect(contrast(colour(word), colour(ground))).toBeGreaterThanOrEqual(4.5)
    },
  )

  test('cautions, main buttons and the outlines of fields are seen', () => {
    expect(contrast(colour('caution'), colour('caution-ground'))).toBeGreaterThanOrEqual(4.5)
    expect(contrast(colour('caution'), colour('paper'))).toBeGreaterThanOrEqual(4.5)
    expect(contrast(colour('on-accent'), colour('accent'))).toBeGreaterThanOrEqual(4.5)
    expect(contrast(colour('control-line'), colour('sheet'))).toBeGreaterThanOrEqual(3)
    expect(contrast(colour('control-line'), colour('paper'))).toBeGreaterThanOrEqual(3)
  })
})

test('the dark of the device and the dark of the switch are the same', () => {
  expect(tokensOf(":root:not([data-theme='light'])")).toEqual(themes.dark)
})
