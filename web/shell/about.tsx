import { useEffect, useState } from 'react'

const withFfmpeg = !import.meta.env.VITE_WITHOUT_FFMPEG

/** What this is, whose it is, and what it stands on. */
export function About() {
  return (
    <div className="page about">
      <h1>About Slowlane</h1>
      <p>
        Version {__VERSION__}. Speed, deceleration and rolling resistance of balls on lanes, measured from slow-motion
        footage, in the browser, on your own machine.
      </p>
      <h2>Where your data is</h2>
      <p>
        Footage is read where it lies and never copied, sent or uploaded. The record is kept by this browser and in the
        files you save. The page speaks to no other machine; its security policy forbids it.
      </p>
      <h2>Licence</h2>
      <p>Our own code is under the MIT licence.</p>
      <LicenceText label="MIT licence" address="licences/slowlane.txt" />
      {withFfmpeg ? (
        <FfmpegNotice />
      ) : (
        <p>This build leaves the fallback decoder out; footage opens where the browser itself can decode it.</p>
      )}
      <h2>Other people’s work in here</h2>
      <p>Each with its licence, collected from the packages when this page was built.</p>
      <LicenceText label="Third-party notices" address="licences/third-party.txt" />
    </div>
  )
}

function FfmpegNotice() {
  return (
    <>
      <h2>The fallback decoder</h2>
      <p>
        Footage that the browser cannot decode is decoded by FFmpeg, compiled to WebAssembly:{' '}
        <b>@ffmpeg/core 0.12.10</b> (FFmpeg n5.1.4 with x264, x265 and others), under the GNU General Public License,
        version 2 or later. It is a program of its own, two separate files (ffmpeg-core.js, ffmpeg-core.wasm) that are
        loaded only when needed and may be replaced by another build of the same interface, or left out when this page
        is built.
      </p>
      <p>
        Its corresponding source:{' '}
        <a href="https://github.com/ffmpegwasm/ffmpeg.wasm" rel="noreferrer">
          github.com/ffmpegwasm/ffmpeg.wasm
        </a>{' '}
        holds the build file and the patches; the build file names the exact version of FFmpeg and of every library in
        it.
      </p>
      <LicenceText label="GNU General Public License, version 2" address="licences/gpl-2.0.txt" />
      <LicenceText label="Where each part’s source is" address="licences/ffmpeg-core-source.txt" />
    </>
  )
}

type Loaded = { kind: 'not-asked' } | { kind: 'text'; text: string } | { kind: 'failed'; why: string }

function LicenceText({ label, address }: { label: string; address: string }) {
  const [open, setOpen] = useState(false)
  const [loaded, setLoaded] = useState<Loaded>({ kind: 'not-asked' })
  useEffect(() => {
    if (!open || loaded.kind === 'text') return
    const stop = new AbortController()
    fetch(new URL(address, document.baseURI), { signal: stop.signal })
      .then(async (response) => {
        if (!response.ok) throw new Error(`the server answered ${response.status}`)
        setLoaded({ kind: 'text', text: await response.text() })
      })
      .catch((cause: unknown) => {
        if (!stop.signal.aborted)
          setLoaded({ kind: 'failed', why: cause instanceof Error ? cause.message : String(cause) })
      })
    return () => stop.abort()
  }, [open, loaded.kind, address])
  return (
    <details className="licence" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{label}</summary>
      {loaded.kind === 'failed' && <p className="caution">The text could not be read: {loaded.why}.</p>}
      {loaded.kind === 'text' && (
        <pre tabIndex={0} aria-label={label}>
          {loaded.text}
        </pre>
      )}
    </details>
  )
}
