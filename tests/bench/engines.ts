import { engineGuides, engineRows } from '../support/engine-table.ts'
import { figure, type Figure } from './figure.ts'

/** What independent engines make of each form that is handed over: time from entry to exit and acceleration over the measured ones, for lanes along the world's x, between and along its y. NaN: the ball does not arrive. */
export async function run(): Promise<Figure[]> {
  const figures: Figure[] = []
  for (const guide of Object.keys(engineGuides))
    for (const { engine, form, heading_deg, said, transitRatio, accelerationRatio } of await engineRows(guide)) {
      const name = `engines.${guide}.${engine}.${form}.${heading_deg}deg.${said}`
      figures.push(figure(`${name}.transit_ratio`, transitRatio ?? NaN, '1'))
      figures.push(figure(`${name}.acceleration_ratio`, accelerationRatio ?? NaN, '1'))
    }
  return figures
}
