import { useState } from 'react'
import { doubtCodes, type Run } from '../../../workers/record/index.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import type { QuickLook } from './quick-look.ts'
import { doubtWords, isUnsure, originWords } from './run-edits.ts'

/** The marks as a table: what the sketch shows, for reading and for screen readers. Its rows are made when it is opened. */
export function MarksTable({ run, look }: { run: Run; look: QuickLook }) {
  const [open, setOpen] = useState(false)
  return (
    <details className="marks-table" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary className="small quiet">the marks as a table</summary>
      {open && <Rows run={run} look={look} />}
    </details>
  )
}

function Rows({ run, look }: { run: Run; look: QuickLook }) {
  const where = new Map<number, number>()
  if (look.kind === 'look') look.samples.frame.forEach((frame, i) => where.set(frame, i))
  return (
    <div className="scroll-table">
      <table>
        <thead>
          <tr>
            <th scope="col">frame</th>
            <th scope="col" className="number">
              x, y px
            </th>
            <th scope="col" className="number">
              s
            </th>
            <th scope="col" className="number">
              mm
            </th>
            <th scope="col">placed</th>
          </tr>
        </thead>
        <tbody>
          {run.marks.frame.map((frame, i) => {
            const at = where.get(frame)
            return (
              <tr key={frame}>
                <td>
                  <button type="button" className="link" onClick={() => showFrame(frame)}>
                    {frame}
                  </button>
                </td>
                <td className="number">
                  {run.marks.x[i]!.toFixed(1)}, {run.marks.y[i]!.toFixed(1)}
                </td>
                <td className="number">
                  {at === undefined || look.kind !== 'look' ? '' : look.samples.t_s[at]!.toFixed(4)}
                </td>
                <td className="number">
                  {at === undefined || look.kind !== 'look' ? 'not used' : (1000 * look.samples.s_m[at]!).toFixed(2)}
                </td>
                <td>
                  {originWords[run.marks.origin[i]!]}
                  {isUnsure(run.marks.doubt[i]!) && <>, {doubtWords[doubtCodes[run.marks.doubt[i]!] ?? 'misfit']}</>}
                </td>
              </tr>
            )
          })}
        </tbody>
      </table>
    </div>
  )
}
