/** What the exit codes mean. */
export const exits = { fine: 0, withoutResult: 1, misused: 2, unreadable: 3, notWritten: 4 } as const

export const help = `slowlane results RECORD.json [options]    compute the results of a record, print and write them
slowlane schema                           print the JSON Schema of records

Start it as “npx --no slowlane …” or “npm exec --no -- slowlane …”: without the “--”, npm keeps the options to itself.

RECORD.json is a file that Slowlane saved; “-” reads it from standard input.

  --csv DIR       all tables as CSV with datapackage.json, the results and the record as JSON, its JSON Schema
  --zip FILE      the same in one zip
  --json FILE     the results as JSON with the effect of every source of uncertainty; “-” prints it instead of the table
  --mjcf FILE     the lane as MJCF, ready to load; of several, each with its lane and finish in the name
  --lane NAME     this lane only: its letter, name or id
  --finish NAME   this finish only, of the printed table, --json and --mjcf: its name or id
  --at TIME       the time that the files name as their own, as 2026-01-31T12:00:00Z; by default now
  --help, --version

What is printed and written is what the page shows and hands over, to the digit; numbers have a decimal point.

Exit codes
  0  every lane has its C_rr, and everything asked for is written
  1  some lane has no C_rr, or no MJCF; the rest is written, and a sentence says why
  2  the command was not understood
  3  the record could not be read
  4  something could not be written
`
