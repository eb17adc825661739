import type { ComparedQuantity } from '../../../workers/decide/compare.ts'
import { units, type DisplayUnit } from '../../format/units.ts'

/** How each compared quantity is called and shown. */
export const quantities: Readonly<
  Record<ComparedQuantity, { readonly label: string; readonly head: string; readonly unit: DisplayUnit }>
> = {
  crr: { label: 'C_rr', head: 'C_rr', unit: units.one },
  'exit-speed': { label: 'exit speed', head: 'exit m/s', unit: units.m_s },
  transit: { label: 'time on the lane', head: 'time s', unit: units.s },
}
