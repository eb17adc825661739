import tseslint from 'typescript-eslint'
import importX from 'eslint-plugin-import-x'
import reactHooks from 'eslint-plugin-react-hooks'

/** The arrows of the house: each room and what it may import. Anything else fails the build. */
const arrows = {
  elementary: [],
  record: [],
  decode: ['record'],
  locate: ['decode', 'record', 'elementary'],
  measure: ['record', 'elementary'],
  physics: ['record', 'elementary'],
  fit: ['physics', 'measure', 'record', 'elementary'],
  decide: ['fit', 'physics', 'measure', 'record', 'elementary'],
  handover: ['decide', 'fit', 'physics', 'measure', 'record', 'elementary'],
}
const rooms = Object.keys(arrows)
const zones = [
  { target: './workers', from: './web', message: 'The computing rooms know nothing of the page.' },
  { target: './web', from: './tests', message: 'The page does not import tests.' },
  { target: './workers', from: './tests', message: 'Rooms do not import tests.' },
  { target: './web', from: './samples', except: [], message: 'Samples reach the page as static files, not as code.' },
  { target: './web', from: './workers/decode', message: 'The page reaches decoding through workers/bridge.' },
  { target: './web', from: './workers/locate', message: 'The page reaches locating through workers/bridge.' },
  ...rooms.map((room) => ({
    target: `./workers/${room}`,
    from: rooms.filter((other) => other !== room && !arrows[room].includes(other)).map((other) => `./workers/${other}`),
    message: `workers/${room} may import only: ${arrows[room].join(', ') || 'nothing'}.`,
  })),
]

const noAny = {
  '@typescript-eslint/no-explicit-any': 'error',
  '@typescript-eslint/no-floating-promises': 'error',
  '@typescript-eslint/no-misused-promises': ['error', { checksVoidReturn: false }],
  '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
  '@typescript-eslint/consistent-type-imports': 'error',
  '@typescript-eslint/no-unnecessary-type-assertion': 'error',
  '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
  '@typescript-eslint/only-throw-error': 'error',
  'preserve-caught-error': 'error',
  eqeqeq: 'error',
  'no-console': ['error', { allow: ['warn', 'error'] }],
}

/** Engines differ in the last bits of these; on the way from a record to a result the page and the command must not. */
const sameBits = {
  'no-restricted-properties': [
    'error',
    ...'acos acosh asin asinh atan atan2 atanh cbrt cos cosh exp expm1 hypot log log10 log1p log2 pow sin sinh tan tanh'
      .split(' ')
      .map((property) => ({
        object: 'Math',
        property,
        message: 'Its last bits differ between engines: take it from workers/elementary.',
      })),
  ],
  'no-restricted-syntax': [
    'error',
    {
      selector: "BinaryExpression[operator='**']:not([right.value=2]):not([left.value=2])",
      message: 'Its last bits differ between engines: take pow from workers/elementary.',
    },
  ],
}

const world = (files, project, ignores = []) => ({
  files,
  ignores,
  languageOptions: {
    parser: tseslint.parser,
    parserOptions: { project, tsconfigRootDir: new URL('..', import.meta.url).pathname },
  },
  plugins: { '@typescript-eslint': tseslint.plugin, 'import-x': importX, 'react-hooks': reactHooks },
  settings: { 'import-x/resolver': { node: { extensions: ['.ts', '.tsx', '.js'] } } },
  rules: {
    ...noAny,
    'import-x/no-restricted-paths': ['error', { basePath: new URL('..', import.meta.url).pathname, zones }],
    'import-x/no-default-export': 'error',
    'import-x/no-cycle': ['error', { maxDepth: 6, ignoreExternal: true }],
  },
})

export default [
  { ignores: ['dist/**', 'node_modules/**', 'web/public/**', '**/*.d.ts'] },
  world(
    ['workers/{elementary,record,measure,physics,fit,decide,handover,locate}/**/*.ts'],
    ['workers/tsconfig.json'],
    ['**/*.worker.ts', 'workers/locate/beside-frames/**'],
  ),
  world(
    ['workers/{decode,bridge}/**/*.ts', 'workers/locate/beside-frames/**/*.ts', 'workers/**/*.worker.ts'],
    ['workers/tsconfig.worker.json'],
  ),
  { files: ['workers/{record,measure,physics,fit,decide,handover}/**/*.ts'], rules: sameBits },
  world(['web/**/*.{ts,tsx}'], ['web/tsconfig.json'], ['web/vite.config.ts']),
  world(['tests/**/*.{ts,tsx}', 'web/vite.config.ts'], ['tests/tsconfig.json']),
  world(['samples/**/*.ts'], ['samples/tsconfig.json']),
  {
    files: ['web/**/*.tsx', 'web/**/*.ts'],
    rules: { 'react-hooks/rules-of-hooks': 'error', 'react-hooks/exhaustive-deps': 'error' },
  },
  // Command-line programs speak to a terminal; configuration files must export by default.
  { files: ['tests/**/*.ts', 'samples/**/*.ts'], rules: { 'no-console': 'off' } },
  { files: ['**/*.config.ts'], rules: { 'import-x/no-default-export': 'off' } },
]
