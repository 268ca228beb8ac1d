/** What the tester can do by key or touch: start and end a recording, mark, acknowledge. */
import { ask, done, type Answer } from './api.ts';
import { acknowledge, openGroups } from './flag-list.ts';
import { duration } from './format.ts';
import { t } from './i18n/index.ts';
import type { Station } from './station.svelte.ts';

export class Commands {
  isNaming = $state(false);
  isBusy = $state(false);
  isHelp = $state(false);
  name = $state('');
  /** What went wrong with the last command, in words; empty when nothing did. */
  trouble = $state('');
  /** What the last command did, where the page does not show it anyway. */
  note = $state('');
  private nMarkers = 0;
  private readonly station: Station;

  constructor(station: Station) {
    this.station = station;
  }

  /** Asks for a name, or ends what is being recorded. */
  record(): void {
    if (this.isBusy || !this.station.state) return;
    this.trouble = '';
    if (this.station.recording) void this.end();
    else {
      this.name = this.suggestion();
      this.isNaming = true;
    }
  }

  async start(): Promise<void> {
    const name = this.name.trim();
    if (name === '' || this.isBusy) return;
    this.nMarkers = 0;
    this.note = '';
    const isDone = await this.send('/api/recordings', { name });
    if (isDone) this.isNaming = false;
  }

  async end(): Promise<void> {
    await this.send('/api/recordings/current/stop', undefined);
    this.note = '';
  }

  async mark(): Promise<void> {
    const { recording } = this.station;
    if (!recording) return;
    const n = this.nMarkers + 1;
    const at_s = (this.station.now().getTime() - Date.parse(recording.startedAt)) / 1000;
    const isDone = await this.send('/api/markers', { text: `marker ${n}` });
    if (!isDone) return;
    this.nMarkers = n;
    this.note = t.keys.markerSet(n, duration(at_s));
  }

  async acknowledgeTop(): Promise<void> {
    const [top] = openGroups(this.station.state?.flags ?? []);
    if (top) this.say(await acknowledge(top));
  }

  cancel(): void {
    this.isNaming = false;
    this.trouble = '';
  }

  private async send(path: string, body: unknown): Promise<boolean> {
    this.isBusy = true;
    const answer = await ask(path, done, { method: 'POST', body: body ?? {} });
    this.isBusy = false;
    return this.say(answer);
  }

  private say(answer: Answer<true>): boolean {
    this.trouble = answer.isGood ? '' : answer.problem;
    return answer.isGood;
  }

  private suggestion(): string {
    const setup = this.station.state?.setup;
    if (!setup) return '';
    const joint = this.station.pattern?.joint ?? '';
    const speed = setup.mode === 'isometric' ? t.mode.isometric : String(setup.speed_degps);
    return [setup.subject, joint, t[setup.side], speed].filter((part) => part !== '').join(' ');
  }
}
