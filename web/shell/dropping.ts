/// <reference path="../record/file-pickers.d.ts" />
import { offerFootage, type IncomingFile } from '../record/incoming.ts'
import { openFileVerb, openFootage } from './verbs.ts'

/** Files may be dropped anywhere on the page: a record opens, anything else is footage. */
export function beginDropping(): void {
  addEventListener('dragover', (event) => {
    if (!event.defaultPrevented && event.dataTransfer?.types.includes('Files')) {
      event.preventDefault()
      event.dataTransfer.dropEffect = 'copy'
    }
  })
  addEventListener('drop', (event) => {
    if (event.defaultPrevented || !event.dataTransfer?.types.includes('Files')) return
    event.preventDefault()
    void take(event.dataTransfer)
  })
}

async function take(data: DataTransfer): Promise<void> {
  // Everything must be asked of the event before the first await.
  const asked = [...data.items].map((item) => ({
    file: item.kind === 'file' ? item.getAsFile() : null,
    handle: item.kind === 'file' ? item.getAsFileSystemHandle?.() : undefined,
  }))
  const files: IncomingFile[] = []
  for (const { file, handle } of asked) {
    if (!file) continue
    const held = await handle?.catch(() => null)
    files.push(held instanceof FileSystemFileHandle ? { file, handle: held } : { file })
  }
  const record = files.find(({ file }) => /\.json$/i.test(file.name))
  if (record) await openFileVerb(record.file, record.handle)
  const footage = files.filter((one) => !/\.json$/i.test(one.file.name))
  if (footage.length === 0) return
  if (record) offerFootage(footage)
  else await openFootage(footage)
}
