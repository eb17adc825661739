import type { Draft } from 'immer'
import { useMemo } from 'react'
import { proposePieces, type PiecesProposal } from '../../../workers/measure/rate-pieces.ts'
import type { Clip, View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { NumberField } from '../../parts/number-field.tsx'
import { useCurrentClip } from '../../picture/current-clip.ts'
import { ticksAt } from '../../picture/clip-time.ts'
import { showFrame } from '../../picture/frame-keys.ts'
import { useSession } from '../../record/session.ts'
import { commit, useRecordState } from '../../record/store.ts'
import { changePiece, cutAt, joinPiece, moveCut, piecesOf, roomOfCut, setPieces } from './piece-edits.ts'
import { cutFault, piecesSentence, rateFault } from './sentences.ts'
import { takePieces } from './take-rate.ts'

/** Where the file changes its pace for good; null while the file is not open or keeps one pace. */
export function useProposal(clip: Clip | null): Extract<PiecesProposal, { kind: 'pieces' }> | null {
  const { facts } = useCurrentClip()
  return useMemo(() => {
    if (!facts || !clip || facts.timescale_hz === 0) return null
    const found = proposePieces(facts.ticks, facts.timescale_hz, clip.filmingRateTag_hz)
    return found.kind === 'pieces' ? found : null
  }, [facts, clip])
}

/** Pieces of the clip with rates of their own: slow-motion ramps that a phone baked in. */
export function RatePieces({ clip, view, base_hz }: { clip: Clip; view: View; base_hz: number }) {
  const readOnly = useRecordState((s) => s.readOnly)
  const frame = useSession((s) => s.frame)
  const { facts } = useCurrentClip()
  const proposal = useProposal(clip)
  const pieces = piecesOf(clip)
  const ticks = facts?.ticks ?? null
  const edit = (what: string, change: (held: Draft<Clip>) => void) =>
    commit(what, (draft) => {
      const held = draft.clips[clip.id]
      if (held) change(held)
    })
  const same = proposal !== null && JSON.stringify(proposal.pieces) === JSON.stringify(pieces)
  return (
    <details open={pieces.length > 0 || proposal !== null}>
      <summary>
        <h2>Pieces with rates of their own</h2>
      </summary>
      <p className="small quiet">
        A phone may slow its file down between two moments. Its timestamps then tell how the file plays, not how time
        went: cut the clip there and say at what rate each piece was filmed.
      </p>
      {proposal && !same && (
        <>
          <p className={pieces.length === 0 ? 'damage' : undefined}>{piecesSentence(proposal, clip)}</p>
          <div>
            <button
              type="button"
              className={pieces.length === 0 ? 'button main' : 'button'}
              disabled={readOnly}
              onClick={() => takePieces(clip, view, proposal.pieces)}
            >
              Take these pieces
            </button>
          </div>
        </>
      )}
      {pieces.length > 0 && (
        <ol className="pieces">
          {pieces.map((piece, i) => {
            const room = roomOfCut(clip, i)
            const last = (pieces[i + 1]?.fromFrame ?? clip.frames) - 1
            return (
              <li key={i}>
                {room ? (
                  <NumberField
                    label={`Piece ${i + 1}: from frame`}
                    unit={units.one}
                    value={piece.fromFrame}
                    readOnly={readOnly}
                    check={(to) => cutFault(to, room)}
                    onChange={(to) =>
                      edit('move a cut', (held) =>
                        moveCut(held, i, Math.round(to), ticksAt(clip, ticks, Math.round(to))),
                      )
                    }
                  />
                ) : (
                  <p>
                    Piece 1: from frame <FrameLink frame={piece.fromFrame} />
                  </p>
                )}
                <p className="small quiet">
                  to frame <FrameLink frame={last} />
                </p>
                <NumberField
                  label={`Piece ${i + 1}: filmed at, frames per second`}
                  unit={units.one}
                  value={piece.rate_hz}
                  readOnly={readOnly}
                  check={rateFault}
                  onChange={(rate_hz) => edit('rate of a piece', (held) => changePiece(held, i, { rate_hz }))}
                />
                <NumberField
                  label={`Piece ${i + 1}: rate, plus or minus`}
                  unit={units.percent}
                  // As everywhere on this page, ± covers 95 %.
                  value={Number((2 * piece.uRelative).toPrecision(2))}
                  readOnly={readOnly}
                  check={(half) => (half >= 0 ? undefined : 'A ± cannot be less than 0.')}
                  onChange={(half) =>
                    edit('± of the rate of a piece', (held) => changePiece(held, i, { uRelative: half / 2 }))
                  }
                />
                {room && (
                  <button
                    type="button"
                    className="button plain small-button"
                    disabled={readOnly}
                    aria-label={`Join piece ${i + 1} to the one before`}
                    onClick={() => edit('take a cut away', (held) => joinPiece(held, i))}
                  >
                    join to the one before
                  </button>
                )}
              </li>
            )
          })}
        </ol>
      )}
      <div className="button-row">
        <button
          type="button"
          className="button"
          disabled={readOnly || frame === 0 || pieces.some((piece) => piece.fromFrame === frame)}
          onClick={() => edit('cut the clip', (held) => cutAt(held, frame, ticksAt(clip, ticks, frame), base_hz))}
        >
          Cut at frame {frame}
        </button>
        {pieces.length > 0 && (
          <button
            type="button"
            className="button"
            disabled={readOnly}
            onClick={() => edit('one rate for the whole clip', (held) => setPieces(held, []))}
          >
            One rate for all
          </button>
        )}
      </div>
    </details>
  )
}

function FrameLink({ frame }: { frame: number }) {
  return (
    <button type="button" className="link" onClick={() => showFrame(frame)}>
      {frame}
    </button>
  )
}
