import { Component, type ErrorInfo, type ReactNode } from 'react'
import { downloadRecord } from '../record/record-file.ts'
import { reason } from '../record/sentences.ts'
import { isOpen, recordStore } from '../record/store.ts'

interface Props {
  readonly where?: string
  readonly children: ReactNode
}

/** When drawing a page fails, the record is still in memory: say so and offer it as a file. */
export class ErrorBoundary extends Component<Props, { readonly failed: { readonly cause: unknown } | null }> {
  override state: { readonly failed: { readonly cause: unknown } | null } = { failed: null }

  static getDerivedStateFromError(cause: unknown) {
    return { failed: { cause } }
  }

  override componentDidCatch(cause: unknown, info: ErrorInfo): void {
    console.error('drawing failed', cause, info.componentStack)
  }

  override render(): ReactNode {
    const { failed } = this.state
    if (!failed) return this.props.children
    return (
      <section className="page" role="alert">
        <h1>{this.props.where ?? 'The page'} could not be drawn</h1>
        <p>
          This is a fault of the program, not of your record: {reason(failed.cause)}. Everything up to your last change
          is still here. Undo the last change, or save the record and reload.
        </p>
        <p className="actions">
          <button type="button" className="button" onClick={() => this.setState({ failed: null })}>
            Try again
          </button>
          {isOpen(recordStore.getState()) && (
            <button type="button" className="button" onClick={() => void downloadRecord()}>
              Save the record to a file
            </button>
          )}
          <button type="button" className="button" onClick={() => location.reload()}>
            Reload
          </button>
        </p>
      </section>
    )
  }
}
