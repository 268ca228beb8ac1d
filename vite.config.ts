import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';

const DAEMON = process.env['MOMENTARM_DAEMON'] ?? 'http://127.0.0.1:4870';

/** The pages: built to dist/web, which the daemon serves; while writing, a proxy leads to the daemon. */
export default defineConfig({
  root: 'web',
  plugins: [svelte({ configFile: false, compilerOptions: { runes: true } })],
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    target: 'es2023',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  server: {
    host: '127.0.0.1',
    proxy: {
      '/api': DAEMON,
      '/live': { target: DAEMON.replace('http', 'ws'), ws: true },
    },
  },
});
