import type { CDPSession, Locator, Page } from 'playwright-core'
import { onPage, press, stage, type PicturePoint } from './stations-page.ts'

/** How somebody works the page: with a mouse, with keys alone, or with fingers. */
export interface Hands {
  /** Presses a button or follows a link. */
  readonly press: (what: Locator) => Promise<void>
  /** Writes into a field and leaves it. */
  readonly fill: (field: Locator, text: string) => Promise<void>
  /** Chooses what a list shows under this label. */
  readonly choose: (list: Locator, label: string) => Promise<void>
  /** Ticks or unticks. */
  readonly tick: (box: Locator, on: boolean) => Promise<void>
  /** Places a point on the picture [px of it]. */
  readonly place: (at: PicturePoint) => Promise<void>
  /** Goes this many frames forward, from `from`. */
  readonly step: (from: number, to: number) => Promise<void>
  /** Takes up placing again after something else was pressed. */
  readonly backToPicture: () => Promise<void>
}

async function fillAndLeave(page: Page, field: Locator, text: string): Promise<void> {
  await field.fill(text)
  await page.keyboard.press('Enter')
}

export function mouse(page: Page): Hands {
  return {
    press: (what) => what.click(),
    fill: (field, text) => fillAndLeave(page, field, text),
    choose: async (list, label) => void (await list.selectOption({ label })),
    tick: (box, on) => box.setChecked(on),
    place: (at) => press(page, at),
    step: async (from, to) => {
      await stage(page).focus()
      await stepByKeys(page, from, to)
    },
    backToPicture: () => stage(page).focus(),
  }
}

async function stepByKeys(page: Page, from: number, to: number): Promise<void> {
  for (let frame = from; frame + 10 <= to; frame += 10) await page.keyboard.press('Shift+ArrowRight')
  for (let frame = to - ((to - from) % 10); frame < to; frame++) await page.keyboard.press('ArrowRight')
}

/** Keys alone: Tab goes from place to place, and nothing is reached in any other way. */
export function keys(page: Page): Hands {
  const isOn = (what: Locator) => what.evaluate((element) => element === document.activeElement)
  const tabTo = async (what: Locator): Promise<void> => {
    await what.waitFor()
    for (let i = 0; i < 400; i++) {
      if (await isOn(what)) return
      await page.keyboard.press('Tab')
    }
    throw new Error(`Tab never comes to ${String(what)}`)
  }
  const aim = async (): Promise<PicturePoint> => {
    const text = await page.locator('.loupe.in-hand .loupe-place').innerText({ timeout: 5000 })
    const [x, y] = text.split(/[, ]+/).map(Number)
    return { x: x!, y: y! }
  }
  const move = async (keyName: string, by: number): Promise<void> => {
    const tenths = Math.round(Math.abs(by) * 10)
    for (const [modifier, count] of [
      ['Shift+', Math.floor(tenths / 100)],
      ['', Math.floor((tenths % 100) / 10)],
      ['Alt+', tenths % 10],
    ] as const)
      for (let i = 0; i < count; i++) await page.keyboard.press(`${modifier}${keyName}`)
  }
  return {
    press: async (what) => {
      await tabTo(what)
      await page.keyboard.press('Enter')
    },
    fill: async (field, text) => {
      await tabTo(field)
      await page.keyboard.press('Control+A')
      await page.keyboard.type(text)
      await page.keyboard.press('Enter')
    },
    choose: async (list, label) => {
      await tabTo(list)
      const shown = () => list.evaluate((element: HTMLSelectElement) => element.selectedOptions[0]?.label)
      for (const key of ['Home', ...Array.from({ length: 60 }, () => 'ArrowDown')]) {
        if ((await shown()) === label) return
        await page.keyboard.press(key)
      }
      throw new Error(`no “${label}” in ${String(list)}`)
    },
    tick: async (box, on) => {
      await tabTo(box)
      if ((await box.isChecked()) !== on) await page.keyboard.press('Space')
    },
    place: async (at) => {
      const from = await aim()
      await move(at.x < from.x ? 'ArrowLeft' : 'ArrowRight', at.x - from.x)
      await move(at.y < from.y ? 'ArrowUp' : 'ArrowDown', at.y - from.y)
      await page.keyboard.press('Enter')
    },
    step: async (from, to) => {
      await tabTo(stage(page))
      await stepByKeys(page, from, to)
    },
    backToPicture: async () => {
      await tabTo(stage(page))
      const inHand = page.locator('.loupe.in-hand')
      // The key takes up the loupe once there is something to place, which is when the frame is on show.
      for (let i = 0; i < 100 && (await inHand.count()) === 0; i++) {
        await page.keyboard.press('l')
        await page.waitForTimeout(100)
      }
    },
  }
}

/** Fingers on a small screen: two of them bring a point close before one places it, on whole points of the screen as a finger does. */
export async function fingers(page: Page): Promise<Hands> {
  const touch = await page.context().newCDPSession(page)
  return {
    press: (what) => what.tap(),
    fill: (field, text) => fillAndLeave(page, field, text),
    choose: async (list, label) => void (await list.selectOption({ label })),
    tick: async (box, on) => {
      if ((await box.isChecked()) !== on) await box.tap()
    },
    place: async (at) => {
      await pinchIn(page, touch, at)
      const on = await onPage(page, at)
      const finger = { x: Math.round(on.x), y: Math.round(on.y) }
      // It comes down beside the point, moves there under the loupe, and lifts.
      await touchAt(touch, 'touchStart', [{ x: finger.x + 6, y: finger.y + 6 }])
      await touchAt(touch, 'touchMove', [finger])
      await touchAt(touch, 'touchEnd', [])
    },
    step: async (from, to) => {
      const forward = page.getByRole('button', { name: 'One frame on' })
      for (let frame = from; frame < to; frame++) await forward.tap()
    },
    backToPicture: () => Promise.resolve(),
  }
}

const touchAt = async (
  session: CDPSession,
  type: 'touchStart' | 'touchMove' | 'touchEnd' | 'touchCancel',
  points: readonly PicturePoint[],
): Promise<void> =>
  void (await session.send('Input.dispatchTouchEvent', { type, touchPoints: points.map((p, id) => ({ ...p, id })) }))

/** Two fingers about a point, spread until a picture point is as large as a screen point. */
async function pinchIn(page: Page, touch: CDPSession, at: PicturePoint): Promise<void> {
  const scale = await page
    .locator('.raster-host')
    .evaluate((element) => new DOMMatrix(getComputedStyle(element).transform).a)
  const box = (await stage(page).boundingBox())!
  const inside = (p: PicturePoint) =>
    p.x > box.x + 8 && p.x < box.x + box.width - 8 && p.y > box.y + 8 && p.y < box.y + box.height - 8
  const on = await onPage(page, at)
  if (scale >= 0.95 && inside(on)) return
  if (scale >= 0.95) {
    await page.getByTitle('Show the whole picture').tap()
    return pinchIn(page, touch, at)
  }
  // The fingers stay on the picture: the point under their middle keeps its place.
  const middle = {
    x: Math.min(Math.max(on.x, box.x + 30), box.x + box.width - 30),
    y: Math.min(Math.max(on.y, box.y + 30), box.y + box.height - 30),
  }
  const apart = (half: number) => [
    { x: middle.x - half, y: middle.y },
    { x: middle.x + half, y: middle.y },
  ]
  await touchAt(touch, 'touchStart', apart(8).slice(0, 1))
  await touchAt(touch, 'touchStart', apart(8))
  for (const half of [14, 20, 26]) await touchAt(touch, 'touchMove', apart(half))
  // What lay near the border has gone over it: the fingers draw it back in before they lift.
  const gone = await onPage(page, at)
  const to = { x: box.x + box.width / 2, y: box.y + box.height / 2 }
  if (!inside(gone))
    await touchAt(
      touch,
      'touchMove',
      apart(26).map((p) => ({ x: p.x + to.x - gone.x, y: p.y + to.y - gone.y })),
    )
  await touchAt(touch, 'touchEnd', [])
}
