/** Headers that shut the page off from other origins; with them the browser allows precise clocks and shared memory. */
export const isolationHeaders: Readonly<Record<string, string>> = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
}

/**
 * What the built page may do: its own origin and nothing else. `wasm-unsafe-eval` lets WebAssembly compile (hashing, fallback decoder);
 * `blob:` pictures and files come from the person's own disk; `data:` pictures are the plots being exported.
 */
export const policy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob: data:",
  "media-src 'self' blob:",
  "font-src 'self'",
  "connect-src 'self' blob:",
  "manifest-src 'self'",
  "base-uri 'self'",
  "form-action 'none'",
  "object-src 'none'",
].join('; ')
