import { emptyRecord, readRecord, type Source, type SlowlaneRecord } from '../../workers/record/index.ts'

/** Static files beside the page, wherever the folder is served from. */
export const sampleAddress = (name: string): string => new URL(`samples/${name}`, document.baseURI).href

export type DemoOutcome = { kind: 'ok'; record: SlowlaneRecord } | { kind: 'failed'; why: string }

let read: Promise<SlowlaneRecord> | undefined

/** The finished demo record, fetched once. */
export async function demoRecord(): Promise<DemoOutcome> {
  read ??= fetchDemo()
  try {
    return { kind: 'ok', record: await read }
  } catch (cause) {
    read = undefined
    return { kind: 'failed', why: cause instanceof Error ? cause.message : String(cause) }
  }
}

async function fetchDemo(): Promise<SlowlaneRecord> {
  const response = await fetch(sampleAddress('demo.slowlane.json'))
  if (!response.ok) throw new Error(`the server answered ${response.status} to samples/demo.slowlane.json`)
  const outcome = readRecord(await response.text())
  if (outcome.kind !== 'ok') throw new Error(`samples/demo.slowlane.json does not read: ${outcome.kind}`)
  return {
    ...outcome.record,
    settings: { ...outcome.record.settings, extra: { ...outcome.record.settings.extra, demo: true } },
  }
}

/** True for the demo and for practice copies: their clips lie beside the page. */
export const usesDemoClips = (record: SlowlaneRecord): boolean => record.settings.extra?.['demo'] === true

/**
 * The same clips in an empty record, to practise on: clips and their views stay, with nothing set in them; lanes, balls, runs and all
 * that was found are gone.
 */
export function practiceRecord(demo: SlowlaneRecord, id: string, createdAt: string): SlowlaneRecord {
  const empty = emptyRecord(id, `${demo.title}, to practise`, createdAt)
  const sources: Record<string, Source> = { ...empty.sources }
  const views = Object.fromEntries(
    Object.values(demo.views).map((view) => {
      for (const stated of [view.pitch_rad, view.yaw_rad, view.distance_m]) {
        for (const source of stated.sources) {
          const held = demo.sources[source]
          if (held) sources[source] = held
        }
      }
      const { id, name, width, height, pitch_rad, yaw_rad, distance_m } = view
      const set = { timebase: { kind: 'unset' as const }, planes: {}, gravity: [], lines: {} }
      return [id, { id, name, width, height, pitch_rad, yaw_rad, distance_m, ...set }]
    }),
  )
  const clips = Object.fromEntries(
    Object.values(demo.clips).map(({ trim: _trim, pieces: _pieces, lamp: _lamp, shake: _shake, ...clip }) => [
      clip.id,
      clip,
    ]),
  )
  return { ...empty, clips, views, sources, settings: { ...empty.settings, extra: { demo: true } } }
}
