import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Dialog, useDialog } from '../parts/dialog.tsx'
import { capsOf, useActions, type KeyAction } from './keys.ts'
import { prefer, usePreference } from './preferences.ts'

const openStore = createStore<{ open: boolean }>(() => ({ open: false }))
export const openKeysDialog = (): void => openStore.setState({ open: true })

/** Every key that does something now, by group, and the switch that turns them off. */
export function KeysDialog() {
  const open = useStore(openStore, (state) => state.open)
  const dialog = useDialog(open, () => openStore.setState({ open: false }))
  const shortcuts = usePreference('shortcuts')
  const groups = Map.groupBy(useActions(), (action) => action.group)
  return (
    <Dialog {...dialog} title="Keys">
      <p>No key acts while you type in a field.</p>
      {[...groups].map(([group, actions]) => (
        <KeyGroup key={group} group={group} actions={actions} />
      ))}
      <label className="check">
        <input type="checkbox" checked={shortcuts} onChange={(event) => prefer({ shortcuts: event.target.checked })} />
        Single keys act (those with Ctrl or Cmd always do)
      </label>
    </Dialog>
  )
}

function KeyGroup({ group, actions }: { group: string; actions: readonly KeyAction[] }) {
  return (
    <section>
      <h3>{group}</h3>
      <table>
        <tbody>
          {actions.map((action) => (
            <tr key={action.name}>
              <th scope="row">{action.label}</th>
              <td className="number">
                {action.keys.map((chord, i) => (
                  <span key={chord}>
                    {i > 0 && <span className="quiet"> or </span>}
                    {capsOf(chord).map((cap) => (
                      <kbd key={cap}>{cap}</kbd>
                    ))}
                  </span>
                ))}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
