/** A mistake of what looks on is told once and ends nothing. */
import { Subject } from 'rxjs';
import { expect, it } from 'vitest';
import { guarded } from '../../../daemon/station-streams.ts';

it('lets the recorder and the others go on, and tells the same mistake once', () => {
  const blocks$ = new Subject<number>();
  const recorded: number[] = [];
  const seen: number[] = [];
  const log: string[] = [];
  blocks$.subscribe((block) => recorded.push(block));
  const mistake = new Error('a view of nothing');
  blocks$.subscribe(
    guarded(
      (_level, what, fields) => void log.push(`${what}: ${String(fields?.['reason'])}`),
      (block) => {
        if (block % 2 === 1) throw mistake;
        seen.push(block);
      },
    ),
  );
  for (let block = 0; block < 6; block += 1) blocks$.next(block);
  expect(recorded).toEqual([0, 1, 2, 3, 4, 5]);
  expect(seen).toEqual([0, 2, 4]);
  expect(log).toHaveLength(1);
  expect(log[0]).toContain('a view of nothing');
});
