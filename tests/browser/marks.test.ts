import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { expect, test } from 'vitest'
import { collectErrors } from '../support/browser.ts'
import { readTruth } from '../support/clip-truth.ts'
import { repository } from '../support/repository.ts'
import { goTo, openFootage, press, stage } from '../support/stations-page.ts'
import { servedPage } from '../support/served-page.ts'

// A clip of three lanes, one ball each, rendered by a program that shares no code with this one: tests/data/clips/README.md.
const clip = join(repository, 'tests/data/clips/b_three_as_cut.mp4')
const truth = readTruth(join(repository, 'tests/data/clips/b_three_as_cut.truth.json'))

const served = servedPage()

/** Opens the clip, says how it was filmed and draws its three lanes with their slope. */
async function withLanes(page: Page): Promise<void> {
  await openFootage(page, served.address, clip)
  await goTo(page, 'Time')
  await page.getByRole('button', { name: /^Filmed at 240/ }).click()
  await goTo(page, 'Lanes')
  for (const lane of truth.lanes) {
    await page.getByRole('button', { name: /^Draw (a|another) lane/ }).click()
    const [first, last] = [lane.centre_line_px[0]!, lane.centre_line_px.at(-1)!]
    await press(page, { x: first[0], y: first[1] })
    await press(page, { x: last[0], y: last[1] })
    await page.getByRole('textbox', { name: 'Slope, downhill' }).fill('1.6°')
    await page.keyboard.press('Enter')
  }
  await page.getByRole('combobox', { name: 'Diameter' }).selectOption({ label: '19.05 mm (3/4 in)' })
  await page.getByRole('button', { name: 'Use this ball' }).click()
}

const undoName = async (page: Page): Promise<string | null> =>
  page.getByRole('button', { name: /^Undo/ }).first().getAttribute('aria-label')

test('from a clip with its lanes drawn, two presses mark every run of three lanes; doubts are stepped through by one key; all of it can be undone', async () => {
  const context = await served.browser.newContext({ viewport: { width: 1440, height: 900 } })
  const page = await context.newPage()
  const errors = collectErrors(page)
  await withLanes(page)

  let actions = 0
  await goTo(page, 'Marks')
  actions += 1
  const find = page.getByRole('button', { name: 'Find runs' })
  await find.click()
  actions += 1
  await page.getByText(/^3 runs found and marked/).waitFor({ timeout: 120_000 })
  const lanes = truth.lanes.length
  console.log(
    `marks: ${actions} actions from lanes drawn to all runs of ${lanes} lanes marked, ${(actions / lanes).toFixed(2)} a lane`,
  )
  expect(actions / lanes).toBeLessThanOrEqual(2)

  const runs = page.getByRole('region', { name: 'Runs' })
  await expect.poll(() => runs.getByRole('row').count()).toBe(1 + lanes)
  for (const [i, lane] of truth.lanes.entries()) {
    const row = runs.getByRole('row', { name: new RegExp(`lane ${lane.name}`) })
    const marks = Number(await row.getByRole('cell').nth(2).innerText())
    const seen = truth.frames.filter(({ balls }) =>
      balls.some((ball) => ball.lane === lane.name && ball.state === 'visible'),
    ).length
    expect(marks, `lane ${i}`).toBeGreaterThan(0.9 * seen)
  }

  const review = page.getByRole('region', { name: 'Review' })
  const left = async (): Promise<number> =>
    Number(
      /(\d+) (?:mark|marks) (?:is|are) unsure|of (\d+)/
        .exec(await review.innerText())
        ?.slice(1)
        .find(Boolean),
    )
  const before = await left()
  expect(before).toBeGreaterThan(1)
  await stage(page).focus()
  await page.keyboard.press('n')
  await review.getByText(`Unsure mark 1 of ${before}`).waitFor()
  await page.keyboard.press('y')
  await review.getByText(new RegExp(`Unsure mark 1 of ${before - 1}`)).waitFor()
  await page.keyboard.press('Delete')
  await review.getByText(new RegExp(before > 2 ? `Unsure mark 1 of ${before - 2}` : '.')).waitFor()
  await page.keyboard.press('Control+z')
  await page.keyboard.press('Control+z')
  await expect.poll(left).toBe(before)

  // Cut in two, put together, turned round: the list follows, and each is one undo.
  await runs.getByRole('button', { name: /^1, / }).first().click()
  for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight')
  await page.getByRole('button', { name: /^Split before frame/ }).click()
  await expect.poll(() => runs.getByRole('row').count()).toBe(2 + lanes)
  await page.getByRole('button', { name: /^Join run 2 after/ }).click()
  await expect.poll(() => runs.getByRole('row').count()).toBe(1 + lanes)
  await page.getByRole('button', { name: 'Reverse' }).click()
  await runs.getByText(/uphill/).waitFor()
  for (let i = 0; i < 3; i++) await page.keyboard.press('Control+z')
  await expect.poll(() => runs.getByText(/uphill/).count()).toBe(0)
  await page.keyboard.press('Control+z')
  await page.getByText('No run is marked in this clip yet').waitFor()
  expect(await undoName(page)).not.toMatch(/run/)
  expect(errors).toEqual([])
  await context.close()
})

test('a search that is cancelled keeps nothing unless the person says so', async () => {
  const context = await served.browser.newContext({ viewport: { width: 1440, height: 900 } })
  const page = await context.newPage()
  const errors = collectErrors(page)
  await withLanes(page)
  await goTo(page, 'Marks')
  await page.getByRole('button', { name: 'Find runs' }).click()
  // A third of the way every ball is on its lane. The page presses by itself: a fast search would be over before a press from outside comes.
  await page.evaluate(`new Promise((pressed) => {
    const look = () => {
      const bar = document.querySelector('progress[aria-label^="Finding runs"]')
      if (!bar || bar.position < 0.35) return setTimeout(look, 5)
      bar.closest('.work').querySelector('button').click()
      pressed()
    }
    look()
  })`)
  const message = page.getByText(/^Stopped after \d+ of \d+ frames\. \d runs? found so far/)
  await message.waitFor()
  await page.getByText('No run is marked in this clip yet').waitFor()
  await page.getByRole('button', { name: /^Keep (it|them)$/ }).click()
  await page.getByText(/[1-9] runs? found and marked/).waitFor()
  // The list follows a moment behind.
  await expect.poll(() => page.getByRole('region', { name: 'Runs' }).getByRole('row').count()).toBeGreaterThan(1)
  expect(errors).toEqual([])
  await context.close()
})
