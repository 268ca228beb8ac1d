/** The options of `serve`: what is taken, and one line for what is not. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { isAbsolute, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { UsageError } from '../../../daemon/cli/command.ts';
import { createKeeper, parseServeOptions } from '../../../daemon/config.ts';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'momentarm-config-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function trouble(...args: string[]): Promise<string> {
  const error: unknown = await parseServeOptions(args).catch((reason: unknown) => reason);
  expect(error).toBeInstanceOf(UsageError);
  const { message } = error instanceof Error ? error : new Error();
  expect(message).not.toContain('\n');
  return message;
}

describe('serve options', () => {
  it('have the defaults of the contract', async () => {
    const options = await parseServeOptions([]);
    expect(options).toMatchObject({ port: 4870, host: '127.0.0.1', wiring: null });
    expect(options.source).toMatchObject({ id: 'demo', text: 'demo:' });
    expect(options).toMatchObject({ isOpen: false, isJson: false });
    expect(isAbsolute(options.dataFolder)).toBe(true);
    expect(options.dataFolder.endsWith('data')).toBe(true);
  });

  it.each(['-1', '65536', '80a', '1e3', '0x50'])('refuse port %j', async (port) => {
    expect(await trouble(`--port=${port}`)).toContain('0 to 65535');
  });

  it('refuse an address of the network unless it is meant', async () => {
    expect(await trouble('--host', '0.0.0.0')).toContain('--open');
    const options = await parseServeOptions(['--host', '0.0.0.0', '--open']);
    expect(options.host).toBe('0.0.0.0');
  });

  it('refuse a host that cannot be one', async () => {
    expect(await trouble('--open', '--host', 'a b')).toContain('address');
  });

  it('name an unknown option and those that there are', async () => {
    expect(await trouble('--prot', '80')).toMatch(/unknown option --prot.*--port/);
    expect(await trouble('--port')).toContain('--port needs a value');
    expect(await trouble('--port=')).toContain('--port "": give a value');
    expect(await trouble('')).toContain('an argument is empty');
    expect(await trouble('--open=yes')).toContain('--open takes no value');
    expect(await trouble('here')).toContain('"here" is not an option');
  });
});

describe('--wiring', () => {
  const CHANNEL = { channel: 0, quantity: 'torque', unit: 'Nm', slope: 99.73 };
  const write = async (text: string): Promise<string> => {
    const path = join(folder, 'wiring.json');
    await writeFile(path, text);
    return path;
  };

  it('is read', async () => {
    const path = await write(JSON.stringify({ version: 1, station: 'North', channels: [CHANNEL] }));
    const { wiring } = await parseServeOptions(['--wiring', path]);
    expect(wiring?.channels[0]?.slope).toBe(99.73);
  });

  it('tells in one line that there is none, that it is no JSON, and what is wrong in it', async () => {
    expect(await trouble('--wiring', join(folder, 'none.json'))).toContain('there is no such file');
    expect(await trouble('--wiring', folder)).toContain('it cannot be read');
    expect(await trouble('--wiring', await write('{ "version": 1,'))).toContain('not valid JSON');
    const bad = { version: 2, station: 5, channels: [] };
    expect(await trouble('--wiring', await write(JSON.stringify(bad)))).toMatch(
      /version is 2; give the number 1 \(and \d more\)/,
    );
  });
});

describe('what is kept between starts', () => {
  it('is the set-up, as it was written', async () => {
    const keeper = createKeeper(folder);
    const setup = { ...DEMO_SETUP, subject: 'SH-07', torqueScale_Nm: [-60, 60] as const };
    await keeper.write({ setup });
    expect(await createKeeper(folder).read()).toEqual({ setup });
  });

  it.each(['', '{', '{"setup":{"subject":"A B"}}', '[]'])(
    'is the demo when it is %j',
    async (text) => {
      await writeFile(join(folder, 'station.json'), text);
      expect(await createKeeper(folder).read()).toEqual({ setup: DEMO_SETUP });
    },
  );
});
