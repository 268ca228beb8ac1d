/** `npm run dev`: the daemon on the demo, restarted when its source changes, and hot pages before it. */
import { spawn } from 'node:child_process';
import { join } from 'node:path';

const tsx = join('node_modules', 'tsx', 'dist', 'cli.mjs');
const vite = join('node_modules', 'vite', 'bin', 'vite.js');
const rest = process.argv.slice(2);

const children = [
  [tsx, 'watch', 'daemon/main.ts', 'serve', '--open', ...rest],
  [vite, '--config', 'vite.config.ts'],
].map((args) => spawn(process.execPath, args, { stdio: 'inherit' }));

const stop = () => children.forEach((child) => child.kill());
process.on('SIGINT', stop);
process.on('SIGTERM', stop);
children.forEach((child) => child.on('close', stop));
