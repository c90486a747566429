import tseslint from 'typescript-eslint';

/** Folders of the core: figures and rules, no browser, no packages but zod in schemas and d3-array. */
const CORE = ['units', 'signal', 'geometry', 'camera', 'clip', 'pose', 'starts', 'phases', 'shapes', 'tolerances', 'checker', 'cues', 'reading', 'compare'];

const MEDIA = { group: ['mediabunny', '@tensorflow/*', '@tensorflow-models/*', '@vladmandic/*'], message: 'Decoding and pose models live in the workers: frames never cross a thread.' };
const COMLINK = { group: ['comlink'], message: 'Only the bridge and the workers talk across threads.' };
const REACT = { group: ['react', 'react-dom', 'react-dom/*', 'wouter'], message: 'React lives in the views; everything else can be tested without it.' };
const DEXIE = { group: ['dexie'], message: 'Only src/storage touches the database.' };

const ZOD = { group: ['zod'], message: 'zod is set up in src/units/zod.ts; schemas take it from there.' };

const fence = (...patterns) => ({ 'no-restricted-imports': ['error', { patterns }] });

export default tseslint.config(
  { ignores: ['dist/', 'node_modules/', 'coverage/', 'public/', 'fixtures/', '**/*.as.ts'] },
  {
    files: ['**/*.{ts,tsx}'],
    extends: [tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname },
    },
    rules: {
      // Numbers in messages and labels read well as they are.
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      // Arrays are indexed behind length checks all over numeric code; the compiler flag already forces a decision each time.
      '@typescript-eslint/no-non-null-assertion': 'off',
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      // An empty answer is a value here ("no problem"), and a class may hold only a live resource.
      '@typescript-eslint/no-extraneous-class': 'off',
      eqeqeq: ['error', 'always', { null: 'ignore' }],
      'no-console': 'error',
    },
  },
  { files: ['src/**/*.{ts,tsx}'], rules: fence(MEDIA, COMLINK, REACT, DEXIE, ZOD) },
  { files: ['src/views/**/*.{ts,tsx}', 'src/main.tsx'], rules: fence(MEDIA, COMLINK, DEXIE, ZOD) },
  { files: ['src/bridge/**/*.ts'], rules: fence(MEDIA, REACT, DEXIE, ZOD) },
  { files: ['src/storage/**/*.ts'], rules: fence(MEDIA, COMLINK, REACT, ZOD) },
  { files: ['workers/**/*.ts'], rules: fence(REACT, DEXIE, ZOD) },
  {
    files: CORE.map((folder) => `src/${folder}/**/*.ts`),
    rules: fence(
      MEDIA, COMLINK, REACT, DEXIE,
      { group: ['**/views/*', '**/views/**', '**/state/*', '**/bridge/*', '**/overlay/*', '**/workers/*', '**/storage/*'], message: 'The core knows nothing of what stands on top of it.' },
      { group: ['zod', '**/zod.ts'], message: 'Only schema.ts files check shapes of outside data.' },
      { regex: '^d3-(?!array$)', message: 'The core uses named functions of d3-array only, through d3 or by themselves.' },
    ),
  },
  {
    files: CORE.map((folder) => `src/${folder}/**/schema.ts`).concat(CORE.map((folder) => `src/${folder}/**/*-schema.ts`)),
    rules: fence(MEDIA, COMLINK, REACT, DEXIE, ZOD, { group: ['**/views/**', '**/state/*', '**/bridge/*', '**/workers/*'], message: 'The core knows nothing of what stands on top of it.' }),
  },
  { files: ['src/units/zod.ts'], rules: fence(MEDIA, COMLINK, REACT, DEXIE) },
  {
    files: ['tests/**/*.{ts,tsx}', 'tools/**/*.ts'],
    rules: { '@typescript-eslint/no-unsafe-assignment': 'off' },
  },
);
