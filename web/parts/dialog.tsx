import { useEffect, useId, useRef, type ReactNode, type RefObject } from 'react'

export interface DialogHandle {
  readonly element: RefObject<HTMLDialogElement | null>
  readonly open: boolean
  readonly onClose: () => void
}

/** Ties a modal dialog to a state: opening moves the focus in, closing (Esc included) gives it back where it was. */
export function useDialog(open: boolean, onClose: () => void): DialogHandle {
  const element = useRef<HTMLDialogElement>(null)
  useEffect(() => {
    const dialog = element.current
    if (!dialog) return
    if (open && !dialog.open) dialog.showModal()
    if (!open && dialog.open) dialog.close()
  }, [open])
  return { element, open, onClose }
}

/** A sheet over the page, modal. `actions` stand at its foot, beside Close. */
export function Dialog({
  element,
  open,
  onClose,
  title,
  actions,
  children,
}: DialogHandle & { title: string; actions?: ReactNode; children: ReactNode }) {
  const heading = useId()
  return (
    <dialog
      ref={element}
      className="dialog"
      aria-labelledby={heading}
      onClose={onClose}
      onClick={(event) => {
        // A click beside the sheet closes it, as Esc does.
        if (event.target === event.currentTarget) event.currentTarget.close()
      }}
    >
      {open && (
        <div className="dialog-sheet">
          <h2 id={heading}>{title}</h2>
          <div className="dialog-body">{children}</div>
          <div className="dialog-foot">
            {actions}
            <button type="button" className="button" onClick={() => element.current?.close()}>
              Close
            </button>
          </div>
        </div>
      )}
    </dialog>
  )
}
