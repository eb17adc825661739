import type { ExitEnergy } from '../../../workers/decide/exit-energy.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { ValueU } from '../../parts/value-u.tsx'
import { FiguresTable } from '../../parts/figures-table.tsx'

/** What a ball carries at the exit. */
export function ExitFigures({ exit }: { readonly exit: ExitEnergy }) {
  const rows = [
    ['speed', <ValueU key="v" value={exit.speed.value} U={exit.speed.U} unit={units.m_s} withUnit />],
    [
      'energy',
      exit.energy ? (
        <ValueU key="e" value={exit.energy.value} U={exit.energy.U} unit={units.mJ} withUnit />
      ) : (
        <span key="e" className="quiet">
          the ball’s mass or density is not entered
        </span>
      ),
    ],
    [
      'of it in spin',
      <ValueU key="s" value={exit.spinShare.value} U={exit.spinShare.U} unit={units.percent} withUnit />,
    ],
    ['as fast as fallen from', <ValueU key="d" value={exit.drop.value} U={exit.drop.U} unit={units.mm} withUnit />],
    ['would still climb', <ValueU key="c" value={exit.climb.value} U={exit.climb.U} unit={units.mm} withUnit />],
    ...(exit.lost === null ? [] : [['lost on the way', `${showPlain(exit.lost * 100, 2)} % of the height`] as const]),
  ] as const
  return (
    <section aria-label="At the exit">
      <h3>At the exit</h3>
      <FiguresTable rows={rows} />
    </section>
  )
}
