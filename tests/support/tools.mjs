/**
 * Gets what the tests need beside npm packages: a browser, pty pairs, a C compiler, scipy.
 * As root on a Debian-like system it installs what is missing; elsewhere it names what to install.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const answers = (command, ...args) => spawnSync(command, args, { stdio: 'ignore' }).status === 0;

/** Tests ask for `MOMENTARM_CHROMIUM` first, so that any Chromium can serve. */
const hasBrowser = () =>
  existsSync(process.env['MOMENTARM_CHROMIUM'] ?? '') ||
  ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].some(existsSync);

const hasPython = (module) => answers('/usr/bin/python3', '-c', `import ${module}`);

const TOOLS = [
  { name: 'Chromium', packages: ['chromium'], isThere: hasBrowser },
  { name: 'socat', packages: ['socat'], isThere: () => answers('socat', '-V') },
  {
    name: 'a C compiler',
    packages: ['gcc', 'libc6-dev'],
    isThere: () => answers('cc', '--version'),
  },
  { name: 'scipy', packages: ['python3-scipy'], isThere: () => hasPython('scipy') },
  { name: 'h5py', packages: ['python3-h5py'], isThere: () => hasPython('h5py') },
  { name: 'mne', packages: ['python3-mne'], isThere: () => hasPython('mne') },
  { name: 'strace', packages: ['strace'], isThere: () => answers('strace', '-V') },
];

/** Names of the tools that are still missing after trying to get them. */
export function getTools(say) {
  const missing = TOOLS.filter((tool) => !tool.isThere());
  if (missing.length === 0) return [];
  const packages = missing.flatMap((tool) => tool.packages);
  if (process.getuid?.() === 0 && answers('apt-get', '--version')) {
    say(`installing for the tests: ${packages.join(', ')} (a few minutes, once)`);
    const options = { stdio: 'ignore', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
    try {
      execFileSync('apt-get', ['update', '-qq'], options);
      const install = ['install', '-y', '-qq', '--no-install-recommends', ...packages];
      execFileSync('apt-get', install, options);
    } catch (trouble) {
      say(`apt-get did not finish: ${trouble.message.split('\n')[0]}`);
    }
  }
  const still = TOOLS.filter((tool) => !tool.isThere());
  if (still.length > 0) {
    say(
      `missing: ${still.map((tool) => tool.name).join(', ')}; ` +
        `install ${still.flatMap((tool) => tool.packages).join(' ')} and run the tests again`,
    );
  }
  return still.map((tool) => tool.name);
}
