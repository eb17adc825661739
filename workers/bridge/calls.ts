/** What one thread can be asked by another: for each method its argument, its answer and what it reports on the way. */
export type MethodTable = Record<
  string,
  { readonly args: unknown; readonly result: unknown; readonly progress: unknown }
>

export type ToWorker =
  | { readonly kind: 'call'; readonly id: number; readonly method: string; readonly args: unknown }
  | { readonly kind: 'cancel'; readonly id: number }
  | { readonly kind: 'ping'; readonly id: number }

export type FromWorker =
  | { readonly kind: 'progress'; readonly id: number; readonly value: unknown }
  | { readonly kind: 'done'; readonly id: number; readonly value: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly name: string; readonly message: string }
  | { readonly kind: 'event'; readonly value: unknown }
  | { readonly kind: 'pong'; readonly id: number }
  /** The thread holds this lock for as long as it lives: whoever gets it next knows that the thread is gone. */
  | { readonly kind: 'alive'; readonly lock: string }

export interface CallOptions<Progress> {
  readonly signal?: AbortSignal | undefined
  readonly onProgress?: ((progress: Progress) => void) | undefined
  readonly transfer?: Transferable[] | undefined
  /** How long the thread may stay silent before it counts as dead, where this call asks for less than usual and no other is under way [ms]. */
  readonly patience_ms?: number | undefined
}
