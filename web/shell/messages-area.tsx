import { dismiss, useMessages, type Message } from './messages.ts'
import { clockTime } from '../format/when.ts'
import { Dialog, useDialog } from '../parts/dialog.tsx'
import { createStore } from 'zustand/vanilla'
import { useStore } from 'zustand'

const listStore = createStore<{ open: boolean }>(() => ({ open: false }))
export const openMessageList = (): void => listStore.setState({ open: true })

/** Open messages: faults as alerts, the rest as status. Both regions are always there, so that screen readers notice what enters. */
export function MessagesArea() {
  const messages = useMessages().filter((m) => m.open)
  return (
    <div className="messages">
      <div role="alert">
        {messages
          .filter((m) => m.tone === 'wrong')
          .map((m) => (
            <OneMessage key={m.id} message={m} />
          ))}
      </div>
      <div role="status">
        {messages
          .filter((m) => m.tone !== 'wrong')
          .map((m) => (
            <OneMessage key={m.id} message={m} />
          ))}
      </div>
      <MessageList />
    </div>
  )
}

function OneMessage({ message }: { message: Message }) {
  const { action } = message
  return (
    <div className={`message message-${message.tone}`}>
      <p>{message.text}</p>
      {action && (
        <button type="button" className="button" onClick={action.run}>
          {action.label}
        </button>
      )}
      <button
        type="button"
        className="button plain"
        aria-label="Dismiss this message"
        onClick={() => dismiss(message.id)}
      >
        Dismiss
      </button>
    </div>
  )
}

function MessageList() {
  const open = useStore(listStore, (state) => state.open)
  const messages = useMessages()
  const dialog = useDialog(open, () => listStore.setState({ open: false }))
  return (
    <Dialog {...dialog} title="Messages">
      {messages.length === 0 && <p className="quiet">Nothing was said yet.</p>}
      <ol className="message-list">
        {[...messages].reverse().map((m) => (
          <li key={m.id}>
            <span className="quiet">{clockTime(m.at.toISOString())}</span> <span>{m.text}</span>
          </li>
        ))}
      </ol>
    </Dialog>
  )
}
