import { useState } from 'react'
import type { FormId, FrictionForm, SimulatorHandover } from '../../../workers/handover/index.ts'
import { units } from '../../format/units.ts'
import { Flag } from '../../parts/flag.tsx'
import { LaneChip } from '../../parts/lane-chip.tsx'
import { NumberField } from '../../parts/number-field.tsx'
import { download } from '../../record/record-file.ts'
import { say } from '../../shell/messages.ts'
import { copyText } from './copy-text.ts'
import { fieldText, groupedForms, validities } from './shown-forms.ts'

/** A lane's friction in every form that simulators take: grouped by whether it reproduces the motion, one open beside the list. */
export function Friction({
  handover: { friction, forms },
  heading_rad,
  onHeading,
}: {
  readonly handover: SimulatorHandover
  readonly heading_rad: number
  readonly onHeading: (heading_rad: number) => void
}) {
  const [chosen, setChosen] = useState<FormId | null>(null)
  const groups = groupedForms(forms)
  const open = forms.find(({ id }) => id === chosen) ?? groups[0]?.forms[0]
  return (
    <section className="lane-sheet friction" aria-label={`Friction for a simulator, ${friction.name}`}>
      <header className="lane-sheet-head">
        <LaneChip laneId={friction.laneId} />
        <h2>Friction for a simulator</h2>
      </header>
      {friction.problems.map((problem) => (
        <p key={problem} className="damage">
          {problem}
        </p>
      ))}
      <div className="friction-columns">
        <nav aria-label="Forms of the friction">
          <NumberField
            label="heading of the lane in files"
            hint="From the world’s x axis towards y."
            value={heading_rad}
            unit={units.deg}
            onChange={(value) => onHeading(value)}
          />
          {groups.map((group) => (
            <div key={group.kind} className={`form-group ${group.kind}`}>
              <h3>
                {group.word} <small className="quiet">{group.means}</small>
              </h3>
              <ul>
                {group.forms.map((form) => (
                  <li key={form.id}>
                    <button
                      type="button"
                      className="form-choice"
                      aria-pressed={form === open}
                      aria-label={`${form.title}, ${group.word}`}
                      onClick={() => setChosen(form.id)}
                    >
                      {form.title}
                    </button>
                  </li>
                ))}
              </ul>
            </div>
          ))}
        </nav>
        {open && <FormSheet key={open.id} form={open} />}
      </div>
    </section>
  )
}

function FormSheet({ form }: { readonly form: FrictionForm }) {
  const { validity, file } = form
  const word = validities.find(({ kind }) => kind === validity.kind)?.word ?? ''
  return (
    <article className="form-sheet" aria-label={form.title}>
      <header>
        <h3>{form.title}</h3>
        <p className="quiet">for {form.target}</p>
      </header>
      <p className="equation">{form.equation}</p>
      {form.fields.length > 0 && (
        <table className="figures form-fields">
          <caption className="only-read-aloud">Numbers of this form</caption>
          <tbody>
            {form.fields.map((field) => (
              <tr key={field.name}>
                <th scope="row">{field.name}</th>
                <td className="number">{fieldText(field)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p>
        {validity.kind === 'valid' ? <b>{word}. </b> : <Flag>{word}</Flag>} {validity.why}
      </p>
      {form.warning !== undefined && <p className="damage">{form.warning}</p>}
      {form.text !== null && <Paste text={form.text} title={form.title} />}
      {file && (
        <p>
          <button
            type="button"
            className="button"
            onClick={() => download(new Blob([file.text], { type: file.mime }), file.name)}
          >
            Save {file.name}
          </button>
        </p>
      )}
    </article>
  )
}

function Paste({ text, title }: { readonly text: string; readonly title: string }) {
  const copy = async () => {
    const done = await copyText(text)
    if (done) say('told', `Copied: ${title}.`, { key: 'copied' })
    else
      say('caution', 'This browser lets nothing be copied by a button. Select the text and copy it by hand.', {
        key: 'copied',
      })
  }
  return (
    <div className="paste">
      <pre tabIndex={0} role="group" aria-label={`${title}, ready to paste`}>
        {text}
      </pre>
      <button type="button" className="button" onClick={() => void copy()}>
        Copy
      </button>
    </div>
  )
}
