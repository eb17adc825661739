/** Text as a CSS string. */
export const cssString = (text: string): string =>
  `"${text
    .replace(/[\\"]/g, '\\$&')
    .replace(/[\n\r\f]+/g, ' ')
    .replaceAll('<', '\\3c ')}"`

/** The rule of a printed page: running heads and page numbers (CSS Paged Media, margin boxes). The paper's size is the printer's. */
export function pageRule(title: string, foot: string): string {
  const type = 'font: 8pt/1.2 sans-serif; color: #5d625f; vertical-align: middle'
  return `@page {
    margin: 20mm 15mm 18mm 15mm;
    @top-left { content: ${cssString(title)}; ${type}; width: 75% }
    @top-right { content: "Slowlane report"; ${type}; white-space: nowrap }
    @bottom-left { content: ${cssString(foot)}; ${type}; width: 80% }
    @bottom-right { content: counter(page) " / " counter(pages); ${type}; white-space: nowrap }
  }`
}

/** Puts the rule into the page while the report is open; the page's policy allows no style written into it, a sheet of its own it does. Returns how to take it away. */
export function runningHeads(title: string, foot: string): () => void {
  const sheet = new CSSStyleSheet()
  sheet.replaceSync(pageRule(title, foot))
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
  return () => {
    document.adoptedStyleSheets = document.adoptedStyleSheets.filter((one) => one !== sheet)
  }
}
