import { defineConfig } from 'vite';

/** The daemon and its analysis thread, bundled so that they start fast; binary packages stay outside. */
export default defineConfig({
  build: {
    ssr: true,
    outDir: process.env['MOMENTARM_DAEMON_OUT'] ?? 'dist/daemon',
    emptyOutDir: true,
    target: 'node20',
    sourcemap: true,
    reportCompressedSize: false,
    rolldownOptions: {
      input: { main: 'daemon/main.ts', analyst: 'daemon/pipeline/analyst.ts' },
      output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js' },
    },
  },
  ssr: {
    noExternal: true,
    external: ['serialport', 'better-sqlite3', 'h5wasm'],
  },
});
