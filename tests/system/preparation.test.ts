/** Weighing and the polarity check on a real line: through the API, into the recording and its results. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { afterEach, describe, expect, it } from 'vitest';
import { DEMO_SETUP } from '../../shared/wire/setup.ts';
import { openEmulatedStation, type EmulatedStation } from '../support/emulated-station.ts';

let station: EmulatedStation | null = null;
afterEach(async () => {
  await station?.close();
  station = null;
});

const preparation = v.object({
  weighed: v.nullable(v.object({ use: v.string(), rmsResidual_Nm: v.number() })),
  weighing: v.nullable(
    v.object({
      nAccepted: v.number(),
      blocked: v.nullable(v.string()),
      sweeps: v.array(v.object({ number: v.number(), tension: v.nullable(v.looseObject({})) })),
    }),
  ),
  polarity: v.nullable(
    v.object({ passed: v.boolean(), findings: v.array(v.object({ kind: v.string() })) }),
  ),
  before: v.object({ last: v.nullable(v.looseObject({})), other: v.nullable(v.looseObject({})) }),
});
const see = (reply: unknown) => v.parse(preparation, reply);
const opened = v.object({ id: v.string() });

async function weighed(script: string): Promise<EmulatedStation> {
  const at = await openEmulatedStation({ script });
  station = at;
  await at.ask('POST', '/api/subjects', { who: 'T1', body: { code: 'SH-03', bodyMass_kg: 79 } });
  await at.ask('POST', '/api/weighing', {});
  await at.until('/api/preparation', (reply) => {
    const { weighing } = see(reply);
    return weighing && weighing.nAccepted >= 3 && weighing.blocked === null ? weighing : null;
  });
  return at;
}

const columnsOf = (at: EmulatedStation) => at.station.state().columns.map(({ name }) => name);

describe('weighing', () => {
  it('corrects the live torque and every recording from then on, and comes off again', async () => {
    const at = await weighed('rest:20,tense:5x2,isokinetic:60x3,rest:400');
    expect(columnsOf(at)).not.toContain('muscleTorque_Nm');
    const used = see(await at.ask('POST', '/api/weighing/use', { who: 'T1' }));
    expect(used.weighed?.use).toBe('removed');
    expect(used.weighing).toBeNull();
    await at.until('/api/health', () => (columnsOf(at).includes('muscleTorque_Nm') ? true : null));

    await at.ask('POST', '/api/recordings', { name: 'after weighing' });
    await expect(at.ask('POST', '/api/weighing/discard', {})).rejects.toThrow('recording is under');
    await new Promise((resolve) => setTimeout(resolve, 600));
    const { id } = v.parse(opened, await at.ask('POST', '/api/recordings/current/stop'));
    const start = v.parse(
      v.object({
        gravity: v.looseObject({ kind: v.literal('sinusoid') }),
        weighing: v.looseObject({ subject: v.literal('SH-03'), side: v.literal('right') }),
        polarity: v.null(),
      }),
      JSON.parse(readFileSync(join(at.dataFolder, 'recordings', id, 'start.json'), 'utf8')),
    );
    const results = v.parse(
      v.object({ gravity: v.looseObject({}) }),
      await at.ask('GET', `/api/recordings/${id}/analysis`),
    );
    expect(results.gravity).toEqual(start.gravity);

    expect(see(await at.ask('POST', '/api/weighing/discard', { who: 'T1' })).weighed).toBeNull();
    await at.until('/api/health', () => (columnsOf(at).includes('muscleTorque_Nm') ? null : true));
  });

  it('belongs to one limb, and lies under the next weighing of the other side', async () => {
    const at = await weighed('rest:20,passive:5x2,rest:400');
    await at.ask('POST', '/api/weighing/use', {});
    const left = { ...DEMO_SETUP, side: 'left' };
    await at.ask('PUT', '/api/setup', left);
    const onLeft = see(await at.ask('GET', '/api/preparation'));
    expect(onLeft.weighed).toBeNull();
    expect(onLeft.before.other).not.toBeNull();
    expect(onLeft.before.last).toBeNull();
    await at.ask('PUT', '/api/setup', DEMO_SETUP);
    expect(see(await at.ask('GET', '/api/preparation')).weighed).not.toBeNull();
    // In another place the limb weighs another way.
    const { subject, pattern, side } = DEMO_SETUP;
    const position = { subject, pattern, side, values: { 'Seat height': 6 } };
    await at.ask('POST', '/api/positions', { who: 'T1', body: position });
    const moved = await at.until('/api/preparation', (reply) =>
      see(reply).weighed === null ? see(reply) : null,
    );
    expect(moved.before.last).not.toBeNull();
  });

  it('keeps the refused sweep, and cannot be used before there is one each way', async () => {
    const at = await openEmulatedStation({ script: 'rest:20,tense:5x2,rest:400' });
    station = at;
    await at.ask('POST', '/api/weighing', { sweeps: 4 });
    await expect(at.ask('POST', '/api/weighing/use', {})).rejects.toThrow('No sweep was accepted');
    const done = await at.until('/api/preparation', (reply) => {
      const { weighing } = see(reply);
      return weighing?.sweeps.length === 4 ? weighing : null;
    });
    expect(done.sweeps.map(({ tension }) => tension !== null)).toEqual([false, true, false, false]);
  });
});

describe('polarity', () => {
  it('is stored when it is done, and stated by the next recording', async () => {
    const at = await openEmulatedStation({ script: 'rest:20,polarity,rest:400', speedFactor: 2 });
    station = at;
    await at.until('/api/health', () => (at.station.state().columns.length > 0 ? true : null));
    // At twice the pace of real time the script's movement comes some 12 s after its beginning.
    await new Promise((resolve) => setTimeout(resolve, 8500));
    await at.ask('POST', '/api/polarity');
    const { polarity } = await at.until('/api/preparation', (reply) =>
      see(reply).polarity ? see(reply) : null,
    );
    expect(polarity).toMatchObject({ passed: true, findings: [] });
    await at.ask('POST', '/api/recordings', { name: 'checked' });
    await new Promise((resolve) => setTimeout(resolve, 200));
    const { id } = v.parse(opened, await at.ask('POST', '/api/recordings/current/stop'));
    const start = v.parse(
      v.object({ polarity: v.looseObject({ passed: v.literal(true) }), weighing: v.null() }),
      JSON.parse(readFileSync(join(at.dataFolder, 'recordings', id, 'start.json'), 'utf8')),
    );
    expect(start.polarity.passed).toBe(true);
  });
});
