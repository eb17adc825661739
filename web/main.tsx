import { StrictMode } from 'react'
import { createRoot } from 'react-dom/client'
import './tokens.css'
import './parts/parts.css'
import './shell/places.css'
// After the places: its small-screen rules change them.
import './shell/shell.css'
import { App } from './shell/app.tsx'
import { begin } from './shell/begin.ts'
import { ErrorBoundary } from './shell/error-boundary.tsx'

const element = document.getElementById('app')
if (!element) throw new Error('the page has no element “app” to draw into')
createRoot(element).render(
  <StrictMode>
    <ErrorBoundary>
      <App />
    </ErrorBoundary>
  </StrictMode>,
)
begin()
