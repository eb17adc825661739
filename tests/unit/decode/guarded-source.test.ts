import {
  ALL_FORMATS,
  BufferTarget,
  EncodedPacket,
  EncodedVideoPacketSource,
  Input,
  MkvOutputFormat,
  Output,
  type InputVideoTrack,
} from 'mediabunny'
import { describe, expect, test } from 'vitest'
import { listFrames, usableIndex } from '../../../workers/decode/container-index.ts'
import { GuardedSource } from '../../../workers/decode/guarded-source.ts'

const frames = 40

/** A small Matroska file; what is in its packets does not matter here. */
async function matroska(): Promise<Uint8Array> {
  const target = new BufferTarget()
  const output = new Output({ format: new MkvOutputFormat(), target })
  const source = new EncodedVideoPacketSource('vp8')
  output.addVideoTrack(source)
  await output.start()
  const decoderConfig = { codec: 'vp8', codedWidth: 64, codedHeight: 48 }
  for (let i = 0; i < frames; i++) {
    const data = new Uint8Array(100).fill(7)
    const packet = new EncodedPacket(data, i % 10 === 0 ? 'key' : 'delta', i / 30, 1 / 30)
    await source.add(packet, { decoderConfig })
  }
  await output.finalize()
  if (target.buffer === null) throw new Error('nothing was written')
  return new Uint8Array(target.buffer)
}

async function track(source: GuardedSource): Promise<InputVideoTrack> {
  const found = await new Input({ source, formats: ALL_FORMATS }).getPrimaryVideoTrack()
  if (found === null) throw new Error('no track')
  return found
}

const list = (from: InputVideoTrack) => listFrames(from, new AbortController().signal, () => undefined)

describe('listing the frames of a Matroska file', () => {
  test('of a sound one meets no circle', async () => {
    const source = new GuardedSource(new Blob([(await matroska()) as BlobPart]))
    expect((await list(await track(source))).frames).toBe(frames)
    expect(source.circled).toBe(false)
  })

  // Without the guard this test never ends, and neither does its thread: mediabunny looks for the next element for ever.
  test('with zeros for its end comes to an end with all that is before them, and says so', async () => {
    const bytes = await matroska()
    const cues = bytes.findLastIndex((_, i) => [0x1c, 0x53, 0xbb, 0x6b].every((byte, k) => bytes[i + k] === byte))
    expect(cues).toBeGreaterThan(bytes.length / 2)
    const source = new GuardedSource(new Blob([bytes.fill(0, cues) as BlobPart]))
    const video = await track(source)
    const index = await list(video)
    expect(index.frames).toBe(frames)
    expect(source.circled).toBe(true)
    // What was read in a circle is read again once the thread came to other things.
    expect((await usableIndex(video, index)).frames).toBe(frames)
  })
})
