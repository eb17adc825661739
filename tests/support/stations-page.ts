import { readFileSync } from 'node:fs'
import type { Locator, Page } from 'playwright-core'
import { readRecord, type ReadOutcome } from '../../workers/record/index.ts'

/** A point of the displayed picture [px]. */
export interface PicturePoint {
  readonly x: number
  readonly y: number
}

export const stage = (page: Page): Locator => page.getByRole('application', { name: /^Picture/ })

/** Opens footage from the first screen and waits for its first frame. */
export async function openFootage(
  page: Page,
  address: string,
  file: string,
  pressed: (what: Locator) => Promise<void> = (what) => what.click(),
): Promise<void> {
  await page.goto(address)
  const [chooser] = await Promise.all([
    page.waitForEvent('filechooser'),
    pressed(page.getByRole('button', { name: 'Open your clip' })),
  ])
  await chooser.setFiles(file)
  await shown(page, 0)
}

/** Waits until the picture of this frame is on show. */
export async function shown(page: Page, frame: number): Promise<void> {
  await page.locator(`.stage[data-shown-frame="${frame}"]`).waitFor({ timeout: 30_000 })
}

export async function goTo(
  page: Page,
  station: string,
  pressed: (what: Locator) => Promise<void> = (what) => what.click(),
): Promise<void> {
  const row = page.getByRole('navigation', { name: 'Stations' })
  await pressed(row.getByRole('link', { name: new RegExp(`^${station}`) }))
  await row.locator('a[aria-current=page]', { hasText: station }).waitFor()
}

/** Where a picture point is on the page [CSS px], by the picture's present place. */
export async function onPage(page: Page, at: PicturePoint): Promise<PicturePoint> {
  const box = await stage(page).boundingBox()
  if (!box) throw new Error('the picture is not on the page')
  const sight = await page.locator('.raster-host').evaluate((element) => {
    const matrix = new DOMMatrix(getComputedStyle(element).transform)
    return { scale: matrix.a, x: matrix.e, y: matrix.f }
  })
  return { x: box.x + sight.x + sight.scale * at.x, y: box.y + sight.y + sight.scale * at.y }
}

/** Presses on a picture point with the mouse. */
export async function press(page: Page, at: PicturePoint): Promise<void> {
  const { x, y } = await onPage(page, at)
  await page.mouse.move(x, y)
  await page.mouse.down()
  await page.mouse.up()
}

/** Types into the field that has the focus, as a person leaves it. */
export async function typeIn(page: Page, text: string): Promise<void> {
  await page.keyboard.type(text)
  await page.keyboard.press('Enter')
}

/** The record as the page saves it to a file; the browser must have no window for choosing files. */
export async function savedFile(page: Page): Promise<ReadOutcome> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save', exact: true }).click(),
  ])
  return readRecord(readFileSync(await download.path(), 'utf8'))
}
