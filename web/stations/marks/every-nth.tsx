import { setSession, useSession } from '../../record/session.ts'
import { SelectField } from '../../parts/select-field.tsx'

const steps = ['1', '2', '3', '4', '5', '8', '10', '16'] as const

/** How many frames to go on after each mark. */
export function EveryNth() {
  const everyNth = useSession((s) => s.everyNth)
  return (
    <SelectField
      label="After each mark"
      value={String(everyNth)}
      choices={steps.map((n) => ({ value: n, label: n === '1' ? 'the next frame' : `${n} frames on` }))}
      onChange={(n) => setSession({ everyNth: Number(n) })}
    />
  )
}
