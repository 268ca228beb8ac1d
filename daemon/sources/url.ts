/**
 * `--source URL`: read once, here, into its parts. What cannot be used is told in one line: what it
 * is, and what would do. It opens nothing.
 */
import { UsageError } from '../cli/command.ts';
import { sourceById, SOURCES, type SourceUrl } from './index.ts';
import { shown } from './url-wire.ts';

/** Longer than any path or host name; what is longer was not typed by a person. */
const MAX_CHARACTERS = 1024;

/** Throws a UsageError of one line. */
export function parseSourceUrl(text: string): SourceUrl {
  const isTypable = text.length <= MAX_CHARACTERS && /^[^\p{Cc}]*$/u.test(text);
  const [, id = '', slashes = '', place = '', query] =
    (isTypable && /^([a-z]+):(\/\/)?([^?]*)(?:\?(.*))?$/i.exec(text)) || [];
  const source = sourceById(id.toLowerCase());
  if (source === undefined) {
    const forms = SOURCES.map(({ form }) => form).join('  ');
    throw new UsageError(`--source ${shown(text)}: give one of  ${forms}`);
  }
  const isAddress = /^[a-z]+:\/\//.test(source.form);
  if (isAddress && slashes === '') {
    throw new UsageError(`--source ${shown(text)}: write two slashes, as ${source.form}`);
  }
  const url = { id: source.id, target: place, options: parseOptions(text, query ?? ''), text };
  source.check?.(url);
  return url;
}

function parseOptions(text: string, query: string): Readonly<Record<string, string>> {
  const options = new Map<string, string>();
  for (const part of query.split('&').filter((each) => each !== '')) {
    const [, name, value] = /^([^=]+)=(.+)$/.exec(part) ?? [];
    if (name === undefined || value === undefined) {
      throw new UsageError(`--source ${shown(text)}: ${shown(part)} is no NAME=VALUE`);
    }
    if (options.has(name)) throw new UsageError(`--source ${shown(text)}: ${name} comes twice`);
    options.set(name, decoded(text, value));
  }
  return Object.fromEntries(options);
}

function decoded(text: string, value: string): string {
  try {
    return decodeURIComponent(value);
  } catch {
    throw new UsageError(`--source ${shown(text)}: ${shown(value)} has a % that encodes nothing`);
  }
}
