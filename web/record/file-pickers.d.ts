/** The parts of the File System Access draft that this page uses and the DOM library lacks. Absent in Firefox and Safari. */
interface FilePickerType {
  readonly description: string
  readonly accept: Readonly<Record<string, readonly string[]>>
}

interface Window {
  readonly showSaveFilePicker?: (options: {
    readonly suggestedName: string
    readonly types: readonly FilePickerType[]
  }) => Promise<FileSystemFileHandle>
  readonly showOpenFilePicker?: (options: {
    readonly multiple: boolean
    readonly types?: readonly FilePickerType[]
  }) => Promise<FileSystemFileHandle[]>
}

interface FileSystemHandle {
  queryPermission?: (options: { readonly mode: 'read' | 'readwrite' }) => Promise<PermissionState>
  requestPermission?: (options: { readonly mode: 'read' | 'readwrite' }) => Promise<PermissionState>
}

interface DataTransferItem {
  getAsFileSystemHandle?: () => Promise<FileSystemHandle | null>
}
