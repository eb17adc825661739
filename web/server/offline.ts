import type { Plugin } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'

/** Everything the page can need is fetched on the first visit and served from the device from then on. */
export function offline(): Plugin[] {
  return VitePWA({
    registerType: 'autoUpdate',
    injectRegister: false,
    workbox: {
      globPatterns: ['**/*.{html,js,css,svg,png,txt,json,webmanifest,wasm,mp4,mov,webm,mkv,avi,zip}'],
      globIgnores: ['**/*.map'],
      // The fallback decoder alone is 32 MB.
      maximumFileSizeToCacheInBytes: 64 * 1024 * 1024,
      navigateFallback: 'index.html',
      cleanupOutdatedCaches: true,
      sourcemap: false,
      clientsClaim: true,
      // `?demo` is the same page.
      ignoreURLParametersMatching: [/^demo$/],
    },
    manifest: {
      name: 'Slowlane',
      short_name: 'Slowlane',
      description: 'Rolling resistance of balls on lanes, measured from slow-motion footage, on your own machine.',
      display: 'standalone',
      start_url: './',
      scope: './',
      background_color: '#f5f2ea',
      theme_color: '#f5f2ea',
      icons: [
        { src: 'icon.svg', sizes: 'any', type: 'image/svg+xml' },
        { src: 'icon-192.png', sizes: '192x192', type: 'image/png' },
        { src: 'icon-512.png', sizes: '512x512', type: 'image/png' },
        { src: 'icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
      ],
    },
  })
}
