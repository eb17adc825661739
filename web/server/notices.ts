import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Plugin } from 'vite'

const root = new URL('../..', import.meta.url).pathname

interface LockedPackage {
  readonly version?: string
  readonly license?: string
  readonly dev?: boolean
  readonly devOptional?: boolean
  readonly optional?: boolean
  readonly peer?: boolean
}

/** Name, version, licence and licence text of every package that production depends on, from the lock file and node_modules. */
export function noticesText(): string {
  const lock = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')) as {
    packages: Readonly<Record<string, LockedPackage>>
  }
  const entries = Object.entries(lock.packages)
    .filter(([path]) => !(process.env['VITE_WITHOUT_FFMPEG'] && path.endsWith('node_modules/@ffmpeg/core')))
    .filter(([path, locked]) => path !== '' && !locked.dev && !locked.devOptional && existsSync(join(root, path)))
    .map(([path, locked]) => notice(path, locked))
    .sort((a, b) => (a.name < b.name ? -1 : 1))
  const body = entries.map(({ name, text }) => `${'='.repeat(80)}\n${name}\n\n${text.trim()}\n`).join('\n')
  return `Slowlane contains or loads the following packages. Each stays under its own licence.\n\n${body}`
}

function notice(path: string, locked: LockedPackage): { name: string; text: string } {
  const folder = join(root, path)
  const name = path.replace(/^.*node_modules\//, '')
  const own = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as {
    license?: string
    homepage?: string
    author?: string | { name?: string }
  }
  const licence = locked.license ?? own.license
  if (!licence) throw new Error(`package ${name} states no licence`)
  const author = typeof own.author === 'string' ? own.author : own.author?.name
  const files = readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice)/i.test(file))
  const texts = files.map((file) => readFileSync(join(folder, file), 'utf8').trim())
  const head = [
    `Licence: ${licence}`,
    author ? `Author: ${author}` : undefined,
    own.homepage ? `Home: ${own.homepage}` : undefined,
  ]
  if (texts.length === 0) texts.push(`The package brings no licence text of its own; it is under ${licence}.`)
  return { name: `${name} ${locked.version ?? ''}`, text: [...head.filter((line) => line), '', ...texts].join('\n') }
}

/** Writes the notices beside the page whenever it is built or served. */
export function notices(): Plugin {
  return {
    name: 'slowlane:notices',
    buildStart() {
      const folder = join(root, 'web/public/licences')
      mkdirSync(folder, { recursive: true })
      writeFileSync(join(folder, 'third-party.txt'), noticesText())
    },
  }
}
