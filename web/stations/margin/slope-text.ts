import type { SlowlaneRecord } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'

/** Slopes as this person reads them. */
export const slopeUnit = (record: SlowlaneRecord): string => (record.settings.slopeUnit === 'deg' ? '°' : 'mm/m')

/** A slope as a number in the person's unit. */
export const slopeNumber = (record: SlowlaneRecord, slope_rad: number): number =>
  record.settings.slopeUnit === 'deg' ? slope_rad / units.deg.si : Math.tan(slope_rad) * 1000

/** To a hundredth of a degree or a tenth of a millimetre per metre: what a careful setting can hold. */
export function slopeFigure(record: SlowlaneRecord, slope_rad: number): string {
  const deg = record.settings.slopeUnit === 'deg'
  const text = slopeNumber(record, slope_rad).toFixed(deg ? 2 : 1)
  return showPlainDigits(text)
}

export const slopeText = (record: SlowlaneRecord, slope_rad: number): string =>
  record.settings.slopeUnit === 'deg' ? `${slopeFigure(record, slope_rad)}°` : `${slopeFigure(record, slope_rad)} mm/m`

/** The decimal sign and minus of this person, all digits kept. */
function showPlainDigits(text: string): string {
  const decimal = showPlain(0.5)[1] ?? '.'
  return text.replace('.', decimal).replace('-', '−')
}

/** A tangent in millimetres per metre, signed. */
export const marginFigure = (tangent: number): string =>
  `${tangent > 0 ? '+' : ''}${showPlainDigits((tangent * 1000).toFixed(1))}`
