import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

const stub = fileURLToPath(new URL('./workers/mediapipe-pose-stub.ts', import.meta.url));

export default defineConfig({
  base: './',
  plugins: [react()],
  resolve: { alias: { '@mediapipe/pose': stub } },
  worker: { format: 'es' },
  build: { assetsInlineLimit: 0, target: 'es2023', chunkSizeWarningLimit: 2000 },
});
