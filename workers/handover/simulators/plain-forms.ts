import type { FrictionForm } from './forms.ts'
import { chosen, headOf, measured, place, refusal } from './form-draft.ts'
import type { LaneFriction } from './lane-friction.ts'
import { holdsFor, stated, whyNoGuide, whyNoMotion } from './sentences.ts'
import { momentRatio, overRotation } from '../../physics/ball.ts'
import { digits } from './xml.ts'

/** The acceleration as measured: needs neither slope nor guide, and holds on this lane as it stood only. */
export function accelerationForm(f: LaneFriction): FrictionForm {
  const head = {
    id: 'acceleration',
    title: 'Acceleration as measured',
    target: 'animations and sequences that move the ball themselves',
    equation: 's = s₀ + v₀·t + ½·a·t²',
  } as const
  const { series } = f
  if (!series) return refusal(head, f, whyNoMotion(f))
  const { acceleration: a, entry, exit } = series
  return {
    ...headOf(head),
    fields: [
      measured('a', a),
      ...(entry ? [measured('v at the entry', entry.filmed), chosen('s of the entry', entry.at_m, 'm')] : []),
      ...(exit ? [measured('v at the exit', exit.filmed), chosen('s of the exit', exit.at_m, 'm')] : []),
    ],
    validity: {
      ...place(f),
      kind: 'limited',
      why: `It needs no slope and no guide, but holds on this lane at the slope it had only. ${holdsFor(f)}`,
    },
    text: [
      `a = ${digits(a.value, 6)}    # m/s², ${stated(a, 'm/s²')}, along the travel`,
      ...(entry ? [`v0 = ${digits(entry.filmed.value, 6)}    # m/s at s = ${digits(entry.at_m, 6)} m`] : []),
    ].join('\n'),
  }
}

/** What any engine needs for the ball to roll as it does in this guide: radius, mass, inertia. */
export function rollingBodyForm(f: LaneFriction): FrictionForm {
  const head = {
    id: 'rolling-body',
    title: 'Ball and its rolling',
    target: 'every engine: mass, inertia, and what the guide makes of them',
    equation: 'k = 1 + (I/mR²)·(R/r_e)²; ω = v/r_e',
  } as const
  const why = whyNoGuide(f)
  const { body, radius, rollingRadius, k, mass } = f
  if (why !== null || !body || !radius || !rollingRadius || !k) return refusal(head, f, why ?? '')
  const ratio = momentRatio(body.hollow)
  const inertia = mass && ratio * mass.value * radius.value ** 2
  return {
    ...headOf(head),
    fields: [
      measured('R', radius),
      measured('r_e', rollingRadius),
      measured('k', k),
      chosen('I/(m·R²)', ratio, '1'),
      chosen('R/r_e', overRotation(body, rollingRadius.value), '1'),
      ...(mass ? [measured('m', mass)] : []),
      ...(inertia !== null ? [chosen('I', inertia, 'kg.m2')] : []),
    ],
    validity: {
      ...place(f),
      kind: 'valid',
      why: `Geometry alone: it holds at every speed, for this ball in this guide.${mass ? '' : ' The mass is not known; the motion does not depend on it, forces do.'}`,
    },
    warning:
      'Some engines take the inertia of the box around the ball instead of the ball’s (cannon-es: 2/3·m·R²). Set it by hand, or the ball is slower by a sixth and more.',
    text: [
      `R = ${digits(radius.value, 7)}    # m`,
      `m = ${mass ? `${digits(mass.value, 6)}    # kg` : 'not known'}`,
      `I = ${inertia !== null ? `${digits(inertia, 6)}    # kg·m²` : `${digits(ratio, 7)} * m * R²`}`,
      `spin at v: v / ${digits(rollingRadius.value, 7)}    # rad/s`,
    ].join('\n'),
  }
}
