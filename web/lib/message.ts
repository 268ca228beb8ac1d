/** Reads the daemon's JSON messages at the edge: what is not one of them is null, and is left out. */
import type { LaneEvent, LiveEvent } from '../../shared/wire/events.ts';

function parsed(text: string): Readonly<Record<string, unknown>> | null {
  try {
    const value: unknown = JSON.parse(text);
    return isRecord(value) ? value : null;
  } catch {
    return null;
  }
}

export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** Page and daemon are built together; this checks the frame of a message, not every field in it. */
export function parseLiveEvent(text: string): LiveEvent | null {
  const value = parsed(text);
  switch (value?.['type']) {
    case 'state': {
      const state = value['state'];
      const isWhole = isRecord(state) && isRecord(state['source']) && isRecord(state['setup']);
      return isWhole ? (value as LiveEvent) : null;
    }
    case 'ledger': {
      const ledger = value['ledger'];
      return isRecord(ledger) && Array.isArray(ledger['phases']) ? (value as LiveEvent) : null;
    }
    case 'thinned':
      return Number.isFinite(value['from']) && Number.isFinite(value['to'])
        ? (value as LiveEvent)
        : null;
    default:
      return null;
  }
}

export function parseLaneEvent(text: string): LaneEvent | null {
  const value = parsed(text);
  if (value?.['type'] === 'level') {
    return value['level'] === null || Number.isFinite(value['level']) ? (value as LaneEvent) : null;
  }
  return value?.['type'] === 'lane' && typeof value['phase'] === 'string'
    ? (value as LaneEvent)
    : null;
}
