import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';
import { asciiOnly } from './tools/build/ascii-only.ts';
import { keepOffline } from './tools/build/keep-offline.ts';

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

/** The app and the page that the batch command drives; the speed bench builds its own page apart. */
const PAGES = ['index.html', 'measure.html'];

export default defineConfig(({ mode }) => ({
  base: './',
  plugins: [react(), keepOffline()],
  resolve: { alias: { '@mediapipe/pose': here('./workers/mediapipe-pose-stub.ts') } },
  worker: { format: 'es', plugins: () => [asciiOnly()] },
  build: {
    assetsInlineLimit: 0,
    target: 'es2023',
    chunkSizeWarningLimit: 2000,
    rolldownOptions: {
      input: (mode === 'bench' ? ['bench.html'] : PAGES).map((page) => here(`./${page}`)),
      checks: { bundlerTimings: false },
    },
  },
}));
