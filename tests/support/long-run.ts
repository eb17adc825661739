/** True for the long counts: LONG=1 in the environment. Otherwise tests take a seeded tenth. */
export const longRun = process.env['LONG'] === '1'
