import { setSession, useSession } from '../../record/session.ts'
import { SelectField } from '../../parts/select-field.tsx'
import { setSettling, useSettling } from './settling.ts'

const steps = ['1', '2', '3', '4', '5', '8', '10', '16']

/** How a press is taken: settled on the ball's outline or not, and how many frames to go on after it. */
export function EveryNth() {
  const everyNth = useSession((s) => s.everyNth)
  const settling = useSettling()
  return (
    <>
      <SelectField
        label="After each mark"
        value={String(everyNth)}
        choices={steps.map((n) => ({ value: n, label: n === '1' ? 'the next frame' : `${n} frames on` }))}
        onChange={(n) => setSession({ everyNth: Number(n) })}
      />
      <label className="check">
        <input type="checkbox" checked={settling} onChange={(event) => setSettling(event.target.checked)} />
        Settle on the ball’s outline
        <span className="small quiet">Alt: not this time</span>
      </label>
    </>
  )
}
