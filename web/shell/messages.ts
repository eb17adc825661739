import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** `told`: it went well. `caution`: something to know. `wrong`: it did not happen. */
export type Tone = 'told' | 'caution' | 'wrong'

export interface Message {
  readonly id: number
  readonly tone: Tone
  readonly text: string
  readonly at: Date
  readonly action?: { readonly label: string; readonly run: () => void }
  /** Replaces the open message of the same key instead of standing beside it. */
  readonly key?: string
  readonly open: boolean
}

/** How many closed messages the list keeps. */
const kept = 50

export const messageStore = createStore<{ readonly messages: readonly Message[] }>(() => ({ messages: [] }))

export function useMessages(): readonly Message[] {
  return useStore(messageStore, (state) => state.messages)
}

let lastId = 0

/** Says something to the person: shown until dismissed (told: a few seconds), read aloud, kept in the list of messages. Returns its id. */
export function say(tone: Tone, text: string, more: Pick<Message, 'action' | 'key'> = {}): number {
  const id = ++lastId
  messageStore.setState(({ messages }) => ({
    messages: [
      ...messages.map((m) => (more.key !== undefined && m.key === more.key ? { ...m, open: false } : m)),
      { id, tone, text, at: new Date(), open: true, ...more },
    ].slice(-kept),
  }))
  if (tone === 'told') setTimeout(() => dismiss(id), 8_000)
  return id
}

export function dismiss(id: number): void {
  messageStore.setState(({ messages }) => ({
    messages: messages.map((m) => (m.id === id ? { ...m, open: false } : m)),
  }))
}

/** Closes the open message of a key, when what it warned of is over. */
export function dismissKey(key: string): void {
  messageStore.setState(({ messages }) => ({
    messages: messages.map((m) => (m.key === key && m.open ? { ...m, open: false } : m)),
  }))
}
