/** For the end of a switch over a discriminated union: does not compile while a case is missing. */
export function assertNever(value: never): never {
  throw new Error(`a case was forgotten: ${JSON.stringify(value)}`)
}
