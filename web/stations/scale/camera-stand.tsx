import type { View } from '../../../workers/record/index.ts'
import { units } from '../../format/units.ts'
import { showPlain } from '../../format/value.ts'
import { StatedEditor } from '../stated/stated-editor.tsx'

const degree = Math.PI / 180
const read = { usual: { kind: 'rectangular', half: 1 * degree }, usualBasis: 'inclinometer held to the phone' } as const

const angleFault = (angle: number): string | undefined =>
  Math.abs(angle) < 60 * degree
    ? undefined
    : `${showPlain(angle / degree, 3)}° is beyond ± 60°. Film the lane more from the side.`

/** How the camera stands before the lanes: part of the ± wherever bars alone give the scale. */
export function CameraStand({ view }: { view: View }) {
  const bars = Object.values(view.planes).some((plane) => plane.kind === 'bars')
  return (
    <details className="stand" open={bars}>
      <summary>
        <h2>How the camera stands</h2>
      </summary>
      <p className="small quiet">
        {bars
          ? 'A bar that stands higher or lower than the lane is seen at another scale when the camera looks down. What is not known here goes into the ±.'
          : 'The rectangle tells how the camera stands; these matter only for lanes nearer or farther than it.'}
      </p>
      {bars && (
        <>
          <StatedEditor
            label="It looks down by"
            unit={units.deg}
            stated={view.pitch_rad}
            about={{ name: 'how far the camera looks down', unit: 'rad' }}
            put={(draft, stated) => {
              const held = draft.views[view.id]
              if (held) held.pitch_rad = stated
            }}
            check={angleFault}
            {...read}
            wide={{
              value: 0,
              distribution: { kind: 'rectangular', half: 10 * degree },
              basis: 'not looked at: a camera stood up by eye',
              brings:
                'Read to ± 1° with an inclinometer on the phone, most of this part of the ± goes; a rectangle does without.',
            }}
          />
          <StatedEditor
            label="It is turned from square by"
            unit={units.deg}
            stated={view.yaw_rad}
            about={{ name: 'how far the camera is turned from square', unit: 'rad' }}
            put={(draft, stated) => {
              const held = draft.views[view.id]
              if (held) held.yaw_rad = stated
            }}
            check={angleFault}
            {...read}
            wide={{
              value: 0,
              distribution: { kind: 'rectangular', half: 2 * degree },
              basis: 'not looked at: a camera stood up by eye',
              brings: 'Turned by 2°, a ball at 0.5 m/s seems to change its speed by 0.017 m/s each second.',
            }}
          />
        </>
      )}
      <StatedEditor
        label="Its distance from the plane"
        unit={units.mm}
        stated={view.distance_m}
        about={{ name: 'distance of the camera', unit: 'm' }}
        put={(draft, stated) => {
          const held = draft.views[view.id]
          if (held) held.distance_m = stated
        }}
        check={(distance) =>
          distance > 0
            ? undefined
            : `${showPlain(1000 * distance)} mm cannot be. Type a distance greater than 0; ± may be wide.`
        }
        usual={{ kind: 'rectangular', half: 0.05 }}
        usualBasis="tape measure"
        wide={{
          value: 1,
          distribution: { kind: 'rectangular', half: 0.5 },
          basis: 'not looked at',
          brings: 'It matters as soon as a lane lies nearer or farther than its scale.',
        }}
      />
    </details>
  )
}
