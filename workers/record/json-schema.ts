import * as z from 'zod/mini'
import { Clip } from './schema/clips.ts'
import { Ball, Finish, Guide, Lane, Mounting, Slope, Trial } from './schema/lanes.ts'
import { Id, Px } from './schema/primitives.ts'
import { schemaVersion, Settings, SlowlaneRecord } from './schema/record.ts'
import { Marks, Run } from './schema/runs.ts'
import { Distribution, Source, Stated } from './schema/sources.ts'
import { ClipClock, LaneLine, Plane, ScaleBar, Timebase, View } from './schema/views.ts'

/** Parts that a reader of the schema looks up by name. */
const named = {
  ...{ Id, Px, Stated, Distribution, Source, Clip, View, Timebase, ClipClock, Plane, ScaleBar, LaneLine },
  ...{ Lane, Guide, Mounting, Slope, Ball, Finish, Run, Marks, Trial, Settings },
}

/**
 * The record's JSON Schema (draft 2020-12), made from the schema that reads it. What JSON Schema cannot say (equal columns, rising frames, ids that
 * exist, how many entries) is checked on reading only. The file in `published/` is what this gives.
 */
export function recordJsonSchema(): object {
  const metadata = z.registry<{ id: string }>()
  for (const [id, part] of Object.entries(named)) metadata.add(part, { id })
  return {
    ...z.toJSONSchema(SlowlaneRecord, { target: 'draft-2020-12', io: 'input', reused: 'inline', metadata }),
    title: `Slowlane record, format ${schemaVersion}`,
    description:
      'A record of Slowlane: clips by reference, views, lanes, balls, runs with their marks, stated values with the sources of their uncertainty. SI units; lengths in the picture in pixels.',
  }
}
