// A file of its own, so that a build without the core leaves these addresses, and with them the files, out.
export { default as coreUrl } from '@ffmpeg/core?url'
export { default as wasmUrl } from '@ffmpeg/core/wasm?url'
