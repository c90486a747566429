import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

/** The app and the page that the batch command drives. */
const pages = ['index.html', 'measure.html'].map((page) => here(`./${page}`)).filter((page) => existsSync(page));

export default defineConfig({
  base: './',
  plugins: [react()],
  resolve: { alias: { '@mediapipe/pose': here('./workers/mediapipe-pose-stub.ts') } },
  worker: { format: 'es' },
  build: { assetsInlineLimit: 0, target: 'es2023', chunkSizeWarningLimit: 2000, rolldownOptions: { input: pages, checks: { pluginTimings: false } } },
});
