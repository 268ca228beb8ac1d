/**
 * The front door of `npm start`, `npm test` and the others: from a fresh clone to a running program.
 * Installs and builds only what changed, says so in one line, and fails with one line that helps.
 * Needs nothing but Node and npm; does not know what the program does.
 */
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';

const ROOT = join(import.meta.dirname, '..');
/** Stamps and locks live beside what is built, so that deleting `dist` starts afresh. */
const STATE = join(ROOT, 'dist', '.front-door');
/** Another front door that works longer than this on one step is taken for stuck. */
const LOCK_PATIENCE_MS = 15 * 60_000;
const LEAST_NODE = [20, 19];
const PROGRAM = join(ROOT, 'dist', 'daemon', 'main.js');

class PlainFailure extends Error {}

const say = (line) => process.stderr.write(`momentarm: ${line}\n`);

function checkNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  const isOld = major < LEAST_NODE[0] || (major === LEAST_NODE[0] && minor < LEAST_NODE[1]);
  if (isOld) {
    throw new PlainFailure(
      `this is Node ${process.versions.node}; install Node ${LEAST_NODE.join('.')} or newer, then run it again`,
    );
  }
}

/** Runs a command to its end; `isQuiet` keeps its output back and shows the end of it on failure. */
function run(command, args, { isQuiet = false, env = {} } = {}) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, {
      cwd: ROOT,
      env: { ...process.env, ...env },
      stdio: isQuiet ? ['ignore', 'pipe', 'pipe'] : 'inherit',
    });
    const kept = [];
    for (const stream of [child.stdout, child.stderr]) {
      stream?.on('data', (piece) => kept.push(piece));
    }
    child.on('error', (trouble) => reject(new PlainFailure(`${command}: ${trouble.message}`)));
    child.on('close', (code) => {
      if (code !== 0 && isQuiet) process.stderr.write(Buffer.concat(kept).subarray(-4000));
      resolve(code ?? 1);
    });
  });
}

const isAlive = (pid) => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (trouble) {
    return trouble.code === 'EPERM';
  }
};

/** Holds the lock while `work` runs; a lock whose owner is gone is broken. */
async function withLock(work) {
  const path = join(STATE, 'lock');
  mkdirSync(STATE, { recursive: true });
  let isAnnounced = false;
  for (;;) {
    try {
      writeFileSync(path, String(process.pid), { flag: 'wx' });
      break;
    } catch (trouble) {
      if (trouble.code !== 'EEXIST') throw trouble;
      const owner = Number(readIfThere(path));
      const age_ms = Date.now() - (statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0);
      if (!isAlive(owner) || age_ms > LOCK_PATIENCE_MS) rmSync(path, { force: true });
      else if (!isAnnounced) {
        say(`waiting for another start (process ${owner}) to finish its work`);
        isAnnounced = true;
      }
      await new Promise((resolve) => setTimeout(resolve, 200));
    }
  }
  try {
    return await work();
  } finally {
    rmSync(path, { force: true });
  }
}

const readIfThere = (path) => (existsSync(path) ? readFileSync(path, 'utf8') : '');

function filesBelow(folder) {
  return readdirSync(join(ROOT, folder), { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

function hashOf(files, ...words) {
  const hash = createHash('sha256').update(words.join('\n'));
  for (const file of files) hash.update(file).update('\0').update(readFileSync(file));
  return hash.digest('hex');
}

/** A step is due unless its stamp says that it was done for the very same inputs. */
const isDue = (step) => !step.isThere() || readIfThere(join(STATE, step.name)) !== step.key();

async function take(step) {
  say(step.line);
  const begun_ms = Date.now();
  if ((await step.work()) !== 0) {
    throw new PlainFailure(`${step.name} failed; what it said is above`);
  }
  mkdirSync(STATE, { recursive: true });
  writeFileSync(join(STATE, step.name), step.key());
  say(`${step.name} took ${((Date.now() - begun_ms) / 1000).toFixed(1)} s`);
}

function runningStation() {
  const pid = Number(readIfThere(join(STATE, 'station')));
  return pid > 0 && isAlive(pid) ? pid : null;
}

const INSTALL = {
  name: 'install',
  line: 'installing packages from the lock file (a minute or two, once)',
  isThere: () => existsSync(join(ROOT, 'node_modules')),
  key: () => {
    const { allowScripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    const { version, platform, arch } = process;
    const lock = join(ROOT, 'package-lock.json');
    return hashOf([lock], JSON.stringify(allowScripts), version, platform, arch);
  },
  work: () => {
    const owner = runningStation();
    if (owner !== null) {
      throw new PlainFailure(
        `packages changed while a station runs (process ${owner}); stop it, then run this again`,
      );
    }
    const npm = process.env['npm_execpath'];
    const args = ['ci', '--no-audit', '--no-fund'];
    const env = { npm_config_ignore_scripts: 'false', npm_config_include: 'dev', NODE_ENV: '' };
    return npm
      ? run(process.execPath, [npm, ...args], { isQuiet: true, env })
      : run('npm', args, { isQuiet: true, env });
  },
};

const BUILD = {
  name: 'build',
  line: 'building the program and its pages',
  isThere: () => existsSync(PROGRAM) && existsSync(join(ROOT, 'dist', 'web', 'index.html')),
  key: () => {
    const settings = readdirSync(ROOT)
      .filter((name) => /^(vite|svelte|tsconfig|package-lock)[.\w]*\.(ts|js|json)$/.test(name))
      .map((name) => join(ROOT, name));
    const sources = ['shared', 'daemon', 'web'].flatMap(filesBelow);
    return hashOf([...settings, ...sources], process.version);
  },
  work: async () => {
    const vite = join('node_modules', 'vite', 'bin', 'vite.js');
    for (const config of ['vite.config.daemon.ts', 'vite.config.ts']) {
      const args = [vite, 'build', '--config', config, '--logLevel', 'warn'];
      const code = await run(process.execPath, args, { isQuiet: true, env: { NODE_ENV: '' } });
      if (code !== 0) return code;
    }
    return 0;
  },
};

/** A signal to npm ends npm and its shell, not us: who finds itself orphaned stops its child. */
function endWithNpm(stop) {
  if (process.env['npm_lifecycle_event'] === undefined) return;
  const parent = process.ppid;
  const watch = setInterval(() => {
    if (process.ppid === parent) return;
    clearInterval(watch);
    stop();
  }, 300);
  watch.unref();
}

/** Runs the last command in the foreground: signals go to it, its exit status is ours. */
function become({ args, cwd }) {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, args, {
      cwd,
      env: { ...process.env, MOMENTARM_FRONT_DOOR: String(process.pid) },
      stdio: 'inherit',
    });
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) {
      process.on(signal, () => child.kill(signal));
    }
    endWithNpm(() => child.kill('SIGTERM'));
    if (args.includes('serve')) writeFileSync(join(STATE, 'station'), String(child.pid));
    child.on('close', (code, signal) => resolve(code ?? (signal === 'SIGINT' ? 130 : 143)));
  });
}

const TSX = join('node_modules', 'tsx', 'dist', 'cli.mjs');

const DOORS = {
  start: { needsBuild: true, args: (rest) => [PROGRAM, 'serve', ...rest] },
  // Files on the command line are the user's, seen from the folder the user stands in.
  run: { needsBuild: true, isForFiles: true, args: (rest) => [PROGRAM, ...rest] },
  test: { needsBuild: true, args: (rest) => [join('tests', 'run.mjs'), ...rest] },
  bench: { needsBuild: true, args: (rest) => [TSX, join('tests', 'bench', 'run.ts'), ...rest] },
  quick: {
    needsBuild: false,
    args: (rest) => [
      join('node_modules', 'vitest', 'vitest.mjs'),
      'run',
      '--project',
      'quick',
      ...rest,
    ],
  },
  docs: { needsBuild: false, args: (rest) => [TSX, join('tests', 'support', 'docs.ts'), ...rest] },
  dev: { needsBuild: false, args: (rest) => [join('tests', 'support', 'dev.mjs'), ...rest] },
};

async function open(name, rest) {
  const door = DOORS[name];
  if (!door)
    throw new PlainFailure(`no door "${name}"; there are ${Object.keys(DOORS).join(', ')}`);
  checkNode();
  const steps = door.needsBuild ? [INSTALL, BUILD] : [INSTALL];
  if (steps.some(isDue)) {
    await withLock(async () => {
      for (const step of steps) if (isDue(step)) await take(step);
    });
  }
  const cwd = (door.isForFiles && process.env['INIT_CWD']) || ROOT;
  return become({ args: door.args(rest), cwd });
}

const [name = '', ...rest] = process.argv.slice(2);
open(name, rest).then(
  (code) => process.exit(code),
  (trouble) => {
    if (!(trouble instanceof PlainFailure)) throw trouble;
    say(trouble.message);
    process.exit(1);
  },
);
