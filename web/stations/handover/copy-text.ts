/** Puts text on the clipboard; false where neither the browser's clipboard nor its older command allows it. */
export async function copyText(text: string): Promise<boolean> {
  try {
    // Absent where the page is served over plain HTTP from another machine.
    await (navigator as { clipboard?: Clipboard }).clipboard!.writeText(text)
    return true
  } catch {
    return copyBySelection(text)
  }
}

function copyBySelection(text: string): boolean {
  const before = document.activeElement
  const field = document.createElement('textarea')
  field.value = text
  field.className = 'only-read-aloud'
  document.body.append(field)
  field.select()
  try {
    return document.execCommand('copy')
  } catch {
    return false
  } finally {
    field.remove()
    if (before instanceof HTMLElement) before.focus()
  }
}
