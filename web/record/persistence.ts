/** Whether the browser promised to keep this page's data when space runs short. */
export type Persistence = 'kept' | 'may-be-cleared' | 'unknown'

export async function persistence(): Promise<Persistence> {
  // Absent outside secure contexts, whatever the type says.
  const storage: StorageManager | undefined = navigator.storage
  if (!storage?.persisted) return 'unknown'
  return (await storage.persisted()) ? 'kept' : 'may-be-cleared'
}

/** Asks the browser for that promise; some ask the person in turn. */
export async function askPersistence(): Promise<Persistence> {
  const storage: StorageManager | undefined = navigator.storage
  if (!storage?.persist) return 'unknown'
  return (await storage.persist()) ? 'kept' : 'may-be-cleared'
}

/** Bytes in use and at most, as far as the browser tells. */
export async function storageUse(): Promise<{ used_bytes: number; most_bytes: number } | undefined> {
  const storage: StorageManager | undefined = navigator.storage
  const estimate = await storage?.estimate?.()
  if (estimate?.usage === undefined || estimate.quota === undefined) return undefined
  return { used_bytes: estimate.usage, most_bytes: estimate.quota }
}
