import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, test } from 'vitest'
import type { CompactTruth } from '../../samples/truth.ts'
import { collectErrors } from '../support/browser.ts'
import { repository } from '../support/repository.ts'
import { goTo, onPage, openFootage, typeIn } from '../support/stations-page.ts'
import { servedPage } from '../support/served-page.ts'

// Source of the truth: the clip of the project's own renderer and the projections written beside it.
const file = join(repository, 'samples/clips/lanes-as-cut.mp4')
const truth = JSON.parse(
  readFileSync(join(repository, 'samples/clips/lanes-as-cut.truth.json'), 'utf8'),
) as CompactTruth

const served = servedPage()

type At = readonly [number, number]

/** Presses on the picture where a hand would: the nearest CSS px to a place, off by what is said. */
async function pressAt(page: Page, [x, y]: At, off: At = [0, 0]): Promise<void> {
  const place = await onPage(page, { x: x + off[0], y: y + off[1] })
  await page.mouse.move(place.x, place.y)
  await page.mouse.down()
  await page.mouse.up()
}

async function unfold(page: Page, name: string): Promise<void> {
  const sheet = page.locator('details', { has: page.locator('summary', { hasText: name }) }).first()
  if (!(await sheet.evaluate((element) => (element as HTMLDetailsElement).open)))
    await sheet.locator('summary').first().click()
}

/** The first “a ± b” in a text. */
function figure(text: string): { value: number; U: number } {
  const found = /([−\d.]+)\s*±\s*([\d.]+)/.exec(text)
  if (!found) throw new Error(`no figure in “${text}”`)
  return { value: Number(found[1]!.replace('−', '-')), U: Number(found[2]) }
}

describe('scale and lanes by mouse', () => {
  test(
    'rectangle, plumb line, lens edge and tick tape settle on the picture, and their numbers agree with the scene',
    { timeout: 240_000 },
    async () => {
      const context = await served.browser.newContext({
        viewport: { width: 1440, height: 900 },
        serviceWorkers: 'block',
      })
      await context.addInitScript('delete window.showSaveFilePicker; delete window.showOpenFilePicker')
      const page = await context.newPage()
      const errors = collectErrors(page)
      await openFootage(page, served.address, file)
      await goTo(page, 'Scale')

      await page.getByRole('button', { name: 'Rectangle of known size' }).click()
      const rough: readonly At[] = [
        [2, 1],
        [-2, 2],
        [1, -2],
        [-1, -1],
      ]
      for (const [i, corner] of truth.rectangle!.corners.entries()) await pressAt(page, corner.px, rough[i])
      await page.getByText('All 4 settled on what is seen').waitFor()
      await typeIn(page, '500 ± 0.3')
      await page.getByRole('textbox', { name: 'Height of the rectangle, value' }).waitFor()
      await typeIn(page, '245 ± 0.3')
      await page.getByText('settled, ± 0.2 px').waitFor()

      const [top, low] = truth.plumb_lines[0]!.ends.map((end) => end.px) as [At, At]
      const onString = (y: number): At => [top[0] + ((y - top[1]) / (low[1] - top[1])) * (low[0] - top[0]), y]
      await unfold(page, 'Plumb line')
      await page.getByRole('button', { name: 'Mark a string' }).click()
      await pressAt(page, onString(14), [2, 0])
      await pressAt(page, onString(low[1] - 14), [-2, 0])
      await page.getByText(/^Settled on the string: seen at/).waitFor()

      // The joint of board and bench: its lens has no curvature, and U says how little one edge tells.
      await unfold(page, 'Lens')
      await page.getByRole('button', { name: 'Mark a straight edge' }).click()
      const edge = truth.straight_edges.find(({ name }) => name === 'skirting board on the bench')!
      for (const [i, part] of [0, 0.3, 0.5, 0.7, 1].entries()) {
        const { px } = edge.points[Math.round(part * (edge.points.length - 1))]!
        const x = Math.min(1265, Math.max(15, px[0]))
        await pressAt(page, [x, px[1]], [0, i % 2 === 0 ? 1 : -1])
      }
      await page.getByRole('button', { name: 'That is all' }).click()
      await page.getByText(/^Followed along the edge at \d+ of \d+ places/).waitFor()
      const k1 = figure(await page.locator('.facts div', { hasText: 'curvature' }).innerText())
      expect(Math.abs(k1.value - truth.camera.k1)).toBeLessThan(k1.U)
      await page.getByRole('button', { name: 'forget it' }).click()

      const lane = truth.lanes.find(({ name }) => name === 'A')!
      const at = (s_m: number): At => {
        const line = lane.centre_line
        const i = Math.min(
          line.length - 2,
          line.findIndex((_, k) => k + 1 === line.length || line[k + 1]!.s_m > s_m),
        )
        const [p, q] = [line[i]!, line[i + 1]!]
        const part = (s_m - p.s_m) / (q.s_m - p.s_m)
        return [p.px[0] + part * (q.px[0] - p.px[0]), p.px[1] + part * (q.px[1] - p.px[1])]
      }
      await goTo(page, 'Lanes')
      await page.getByRole('button', { name: 'Draw a lane' }).click()
      await pressAt(page, at(0.02))
      await pressAt(page, at(0.65))
      const whole = figure(await page.getByText('from end to end').innerText())
      expect(Math.abs(whole.value - 630)).toBeLessThan(whole.U)
      await page.getByText('from the plumb line').click()
      const slope = figure(await page.getByText('mm per m.').innerText())
      expect(Math.abs(slope.value - lane.slope_deg)).toBeLessThan(slope.U)
      expect(slope.U).toBeLessThan(0.15)

      await goTo(page, 'Scale')
      await unfold(page, 'Tape along a lane')
      await page.getByRole('button', { name: 'Place ticks along lane A' }).click()
      for (const s_m of [0.05, 0.2, 0.35, 0.5, 0.65]) await pressAt(page, at(s_m), [0.3, 4])
      await page.getByRole('button', { name: 'That is all' }).click()
      await page.getByRole('textbox', { name: 'Number of the first tick' }).fill('50')
      await page.getByRole('textbox', { name: 'From tick to tick' }).fill('150')
      await page.keyboard.press('Enter')
      await page.getByRole('button', { name: 'Take these ticks' }).click()
      const tape = figure(await page.getByText('The lane line is').innerText())
      expect(Math.abs(tape.value - 630)).toBeLessThan(tape.U)
      expect(await page.getByRole('textbox', { name: 'Number of tick 5' }).inputValue()).toBe('650')

      // One number wrong by 15 mm is pointed out by that.
      await page.getByRole('textbox', { name: 'Number of tick 3' }).fill('365')
      await page.keyboard.press('Enter')
      await page.getByText(/^Tick 3 stands 1[3-7](\.\d)? mm from where the others put it/).waitFor()
      expect(errors).toEqual([])
      await context.close()
    },
  )
})
