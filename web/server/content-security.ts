import type { Plugin } from 'vite'
import { policy } from './headers.ts'

/** Writes the policy into the built page, so that it holds on any server. In development the tools need scripts of their own. */
export function contentSecurity(): Plugin {
  return {
    name: 'slowlane:content-security',
    apply: 'build',
    transformIndexHtml: {
      order: 'post',
      handler: () => [
        { tag: 'meta', attrs: { 'http-equiv': 'Content-Security-Policy', content: policy }, injectTo: 'head-prepend' },
      ],
    },
  }
}
