import { dismiss, useMessages, type Message } from './messages.ts'
import { clockTime } from '../format/when.ts'
import { Dialog, useDialog } from '../parts/dialog.tsx'
import { createStore } from 'zustand/vanilla'
import { useStore } from 'zustand'

const listStore = createStore<{ open: boolean }>(() => ({ open: false }))
export const openMessageList = (): void => listStore.setState({ open: true })

/** Open messages: faults as alerts above the page, cautions below them, what went well at its foot, where nothing moves. All regions are always there, so that screen readers notice what enters. */
export function MessagesArea() {
  const messages = useMessages().filter((m) => m.open)
  return (
    <>
      <div className="messages">
        <Messages role="alert" messages={messages.filter((m) => m.tone === 'wrong')} />
        <Messages role="status" messages={messages.filter((m) => m.tone === 'caution')} />
      </div>
      <div className="messages-below">
        <Messages role="status" messages={messages.filter((m) => m.tone === 'told')} />
      </div>
      <MessageList />
    </>
  )
}

function Messages({ role, messages }: { role: 'alert' | 'status'; messages: readonly Message[] }) {
  return (
    <div role={role}>
      {messages.map((m) => (
        <OneMessage key={m.id} message={m} />
      ))}
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
