/** A recording is read without us: by the Python lines of its own README.txt, with numpy and zlib alone. */
import { execFileSync } from 'node:child_process';
import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { README_TEXT } from '../../shared/record/readme-text.ts';
import { withFolder } from '../support/recordings.ts';

const GOLDEN = join(import.meta.dirname, '..', 'golden', 'recording-1');
const PYTHON = '/usr/bin/python3';

const pythonLines = (readme: string) =>
  readme
    .slice(readme.indexOf('--- Python'), readme.indexOf('--- R '))
    .split('\n')
    .slice(1)
    .join('\n');

/** Digests as in `stop.json`, a word for each sample that is not what was put in, and the JSON rule. */
const QUESTIONS = String.raw`
import hashlib
sha = lambda values: hashlib.sha256(values.tobytes()).hexdigest()
stop = json.loads(open("stop.json").read())
answers = {}
for k, segment in enumerate(stop["segments"]):
    head, index, columns = read_stream(segment["name"])
    begins = np.flatnonzero(np.diff(index, prepend=index[0] - 2) != 1)
    runs = np.column_stack([index[begins], np.diff(begins, append=len(index))]).astype("<i8")
    raw = [c if c.dtype != np.dtype("<i4") else c.astype("<i4").view("u1").reshape(-1, 4)[:, :3] for c in columns.values()]
    answers[segment["name"]] = dict(
        samples=len(index),
        runs=sha(runs) == segment["runsSha256"],
        columns=[sha(column) for column in raw] == segment["columnsSha256"],
        file=hashlib.sha256(open(segment["name"], "rb").read()).hexdigest() == segment["sha256"])
def is_sealed(text, before):
    body, tail = text.rsplit(before, 1)
    return zlib.crc32(body) == int(tail[:8], 16)
answers["sealed"] = all(
    [is_sealed(open(name, "rb").read(), b',\n  "crc32": "') for name in ("start.json", "stop.json")] +
    [is_sealed(line, b',"crc32":"') for line in open("events.jsonl", "rb")])
head, index, columns = read_stream("stream-0.blk")
answers["wrong"] = int(sum(columns["ai0"] != (index * 7919) % 60000 - 30000)
    + sum(columns["ai1"] != ((index * 7919 + 104729) % 60000 - 30000) * 250 - index % 2))
print(json.dumps(answers))
`;

function ask(folder: string, readme: string): unknown {
  const script = pythonLines(readme) + QUESTIONS;
  const options = { cwd: folder, encoding: 'utf8' } as const;
  return JSON.parse(execFileSync(PYTHON, ['-c', script], options));
}

test('Python reads samples, digests and checksums as they were written', () => {
  const readme = readFileSync(join(GOLDEN, 'README.txt'), 'latin1');
  expect(ask(GOLDEN, readme)).toEqual({
    'stream-0.blk': { samples: 340, runs: true, columns: true, file: true },
    'stream-1.blk': { samples: 110, runs: true, columns: true, file: true },
    sealed: true,
    wrong: 0,
  });
});

test('damage is left out, not read', async () => {
  await withFolder((folder) => {
    cpSync(GOLDEN, folder, { recursive: true });
    const path = join(folder, 'stream-0.blk');
    const bytes = readFileSync(path);
    bytes[4096 + 100] = (bytes[4096 + 100] ?? 0) ^ 1;
    writeFileSync(path, bytes);
    expect(ask(folder, README_TEXT)).toMatchObject({
      'stream-0.blk': { samples: 340 - 76, columns: false, file: false },
      wrong: 0,
    });
  });
});
