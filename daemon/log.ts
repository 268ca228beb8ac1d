/**
 * The daemon's log: one JSON object a line on standard error. No subject code and no name of a recording
 * goes in: what a person typed stays in the data folder.
 */
import { wallClock } from './clock.ts';

export type Level = 'info' | 'warning' | 'error';
export type LogFields = Readonly<Record<string, string | number | boolean | null>>;

export type Log = (level: Level, what: string, fields?: LogFields) => void;

export function createLog(write: (line: string) => void): Log {
  return (level, what, fields = {}) => {
    write(JSON.stringify({ time: wallClock().toISOString(), level, what, ...fields }));
  };
}
