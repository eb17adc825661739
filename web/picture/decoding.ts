import { createDecodeClient, type DecodeClient } from '../../workers/bridge/decode-client.ts'

let client: DecodeClient | undefined

/** The page's one decode thread, made when it is first needed. */
export const decoding = (): DecodeClient => (client ??= createDecodeClient())
