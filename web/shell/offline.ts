import { registerSW } from 'virtual:pwa-register'
import { say } from './messages.ts'

/** Lets the page work without a network after the first visit. Does nothing where it is served in development. */
export function beginOffline(): void {
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return
  registerSW({
    // After the page has loaded: the cache is large and must not hold up what is looked at first.
    immediate: false,
    onOfflineReady: () => say('told', 'Slowlane now works on this device without a network.'),
    onNeedRefresh: () => say('told', 'A newer Slowlane is ready and comes with the next reload. Your record stays.'),
    onRegisterError: (cause: unknown) => console.warn('the page will not work offline', cause),
  })
}
