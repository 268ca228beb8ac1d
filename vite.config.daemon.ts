import { join } from 'node:path';
import { defineConfig } from 'vite';

/** The daemon and its analysis thread, bundled so that they start fast; binary packages stay outside. */
export default defineConfig({
  build: {
    ssr: true,
    outDir: process.env['MOMENTARM_DAEMON_OUT'] ?? 'dist/daemon',
    emptyOutDir: true,
    target: 'node20',
    // Half the text to read at every start; the map leads from a trace back to the source.
    minify: true,
    sourcemap: true,
    reportCompressedSize: false,
    rolldownOptions: {
      input: { main: 'daemon/main.ts', analyst: 'daemon/pipeline/analyst.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js' },
    },
  },
  resolve: {
    // For node it names a form that cannot be pruned: ten times of what is used.
    alias: { rxjs: join(import.meta.dirname, 'node_modules/rxjs/dist/esm/index.js') },
  },
  ssr: {
    noExternal: true,
    external: ['serialport', 'better-sqlite3', 'h5wasm'],
  },
});
