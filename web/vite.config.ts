import react from '@vitejs/plugin-react'
import { readFileSync } from 'node:fs'
import { defineConfig } from 'vite'
import { contentSecurity } from './server/content-security.ts'
import { isolationHeaders } from './server/headers.ts'
import { notices } from './server/notices.ts'
import { offline } from './server/offline.ts'
import { samples } from './server/samples.ts'

const here = new URL('.', import.meta.url).pathname
const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as { version: string }

export default defineConfig({
  root: here,
  // Relative addresses: the folder works wherever it is put.
  base: './',
  publicDir: 'public',
  define: { __VERSION__: JSON.stringify(version) },
  plugins: [react(), notices(), samples(), contentSecurity(), offline()],
  worker: { format: 'es', rolldownOptions: { checks: { pluginTimings: false } } },
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    target: 'es2022',
    // The decoder core is a file of its own, never inlined.
    assetsInlineLimit: 0,
    sourcemap: true,
    chunkSizeWarningLimit: 1500,
    rolldownOptions: { checks: { pluginTimings: false } },
  },
  optimizeDeps: { exclude: ['@ffmpeg/core'] },
  server: { headers: isolationHeaders, fs: { allow: ['..'] } },
  preview: { headers: isolationHeaders },
})
