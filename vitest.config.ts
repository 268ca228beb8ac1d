import { defineConfig } from 'vitest/config';

/** `quick` is the loop while writing; `slow` needs ports, disks and a browser, one file after another. */
export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'quick',
          // A busy machine is no failure: what takes long is found by its own time in the report.
          testTimeout: 30_000,
          hookTimeout: 30_000,
          include: [
            'tests/{unit,contract,property,reference,golden}/**/*.test.ts',
            'tests/*.test.ts',
          ],
        },
      },
      {
        test: {
          name: 'slow',
          include: ['tests/{system,browser}/**/*.test.ts'],
          fileParallelism: false,
          // Real time on noisy cores: what fails once is tried once more, and the report says so.
          retry: 1,
          testTimeout: 120_000,
          hookTimeout: 120_000,
        },
      },
    ],
  },
});
