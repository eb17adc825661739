import { useState } from 'react'
import { mostBytes, proposeColumns, readSheet, sheetSentence, type Sheet } from '../../../workers/handover/index.ts'
import type { RunTarget } from '../../../workers/handover/index.ts'
import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { pickFiles } from '../../record/record-file.ts'
import { useRecord } from '../../record/store.ts'
import { ImportSheet } from './import-sheet.tsx'
import type { ImportChoices } from './import-plan.ts'

interface Opened {
  readonly file: { readonly name: string; readonly size: number }
  readonly sheet: Sheet
  readonly choices: ImportChoices
}

/** Marks and times from a table of the person's own. */
export function ImportPanel() {
  const record = useRecord((r) => r)
  const [opened, setOpened] = useState<Opened | null>(null)
  const [fault, setFault] = useState<string | null>(null)
  const pick = async () => {
    const [file] = await pickFiles('.csv,.tsv,.txt,text/csv,text/tab-separated-values,text/plain', false)
    if (!file) return
    setFault(null)
    setOpened(null)
    if (file.size > mostBytes) {
      setFault(sheetSentence({ kind: 'too-large', bytes: file.size, most: mostBytes }))
      return
    }
    try {
      const sheet = readSheet(new Uint8Array(await file.arrayBuffer()))
      if (sheet.kind !== 'sheet') setFault(sheetSentence(sheet))
      else setOpened({ file: { name: file.name, size: file.size }, sheet, choices: firstChoices(record, sheet) })
    } catch (cause) {
      const why = cause instanceof Error ? cause.message : String(cause)
      setFault(`${file.name} could not be read (${why}). Choose it again, or a copy of it.`)
    }
  }
  return (
    <section className="lane-sheet import-panel" aria-label="Import marks">
      <h2>Marks from a table</h2>
      <p>
        CSV, semicolons or tabs, decimal point or comma, with or without a head: frame or time, and x and y in the
        picture or the position along the lane.
      </p>
      <p>
        <button type="button" className="button" onClick={() => void pick()}>
          Choose a table
        </button>
      </p>
      {fault !== null && (
        <p className="damage" role="alert">
          {fault}
        </p>
      )}
      {opened && (
        <ImportSheet
          {...opened}
          onChoices={(choices) => setOpened({ ...opened, choices })}
          onDone={() => setOpened(null)}
        />
      )}
    </section>
  )
}

function firstChoices(record: SlowlaneRecord, sheet: Sheet): ImportChoices {
  return {
    columns: proposeColumns(sheet),
    clipId: Object.keys(record.clips)[0] ?? null,
    firstFrame: 0,
    target: firstTarget(record),
    named: 'replace',
    lengths: { kind: 'unknown' },
    times: { kind: 'unknown' },
    rate_hz: null,
    sigma_m: 0.0005,
  }
}

/** The first lane as it is now; null while lane, mounting, finish or ball is missing. */
function firstTarget(record: SlowlaneRecord): RunTarget | null {
  const mountings = Object.values(record.mountings)
  const laneId = Object.keys(record.lanes).find((id) => mountings.some((mounting) => mounting.laneId === id))
  const mountingId = mountings.findLast((mounting) => mounting.laneId === laneId)?.id
  const finishId = Object.values(record.finishes)
    .sort((a, b) => a.order - b.order)
    .at(-1)?.id
  const ballId = Object.keys(record.balls)[0]
  if (laneId === undefined || mountingId === undefined || finishId === undefined || ballId === undefined) return null
  return { laneId, mountingId, finishId, ballId, direction: 'down' }
}
