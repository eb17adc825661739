import type { ReactNode } from 'react'

/** Something to know about a result, in words on caution ground; never an icon alone. */
export function Flag({ children, title }: { readonly children: ReactNode; readonly title?: string }) {
  return (
    <span className="flag" title={title}>
      {children}
    </span>
  )
}
