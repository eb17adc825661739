import { readFileSync } from 'node:fs'
import type { Locator, Page } from 'playwright-core'
import { readRecord, type SlowlaneRecord } from '../../workers/record/index.ts'

export const titleOf = (page: Page): Locator => page.getByRole('textbox', { name: 'Title of the record' })

export async function chooseInMenu(page: Page, item: string): Promise<void> {
  await page.getByRole('button', { name: 'Menu' }).click()
  await page.getByRole('menuitem', { name: item }).click()
}

/** One change of the record, as a person makes it. */
export async function rename(page: Page, title: string): Promise<void> {
  await titleOf(page).fill(title)
  await titleOf(page).press('Enter')
}

/** Waits until the browser has confirmed the last change. */
export const kept = (page: Page): Promise<void> => page.locator('[data-copy=kept]').waitFor({ timeout: 40_000 })

/** The record that a press on a button hands out as a file. */
export async function savedBy(page: Page, button: Locator): Promise<SlowlaneRecord> {
  const [download] = await Promise.all([page.waitForEvent('download'), button.click()])
  const read = readRecord(readFileSync(await download.path(), 'utf8'))
  if (read.kind !== 'ok') throw new Error(`what was saved does not read: ${JSON.stringify(read)}`)
  return read.record
}

/** Gives a file to the page's own choosing of a record. */
export async function openFile(page: Page, name: string, body: string | Buffer): Promise<void> {
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), chooseInMenu(page, 'Open …')])
  await chooser.setFiles({ name, mimeType: 'application/json', buffer: Buffer.from(body) })
}
