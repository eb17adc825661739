/** The frame a key of the ruler asks for; null when it is no key of the ruler. */
export function ruledBy(
  event: { key: string; shiftKey: boolean; ctrlKey: boolean; metaKey: boolean; altKey: boolean },
  frame: number,
  frames: number,
): number | null {
  if (event.ctrlKey || event.metaKey || event.altKey) return null
  const to = (f: number) => Math.min(frames - 1, Math.max(0, f))
  switch (event.key) {
    case 'ArrowLeft':
      return to(frame - (event.shiftKey ? 10 : 1))
    case 'ArrowRight':
      return to(frame + (event.shiftKey ? 10 : 1))
    case 'Home':
      return to(0)
    case 'End':
      return to(frames - 1)
    default:
      return null
  }
}
