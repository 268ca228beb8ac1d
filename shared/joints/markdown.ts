/** The README's table of joint patterns, so that the table cannot drift from the list. */
import { PATTERNS } from './index.ts';

export function patternsMarkdown(): string {
  const rows = PATTERNS.map((p) => {
    const range = `${String(p.usualRange_deg[0])} to ${String(p.usualRange_deg[1])}`;
    return (
      `| \`${p.id}\` | ${p.rising} | ${p.falling} | ${p.anatomicalZero} | ${p.axisLandmark} ` +
      `| ${range} | ${p.usualSpeeds_degps.join(', ')} |`
    );
  });
  return [
    '| pattern | positive (rising angle) | falling angle | zero | opposite the axis | usual range, deg | usual speeds, deg/s |',
    '|---|---|---|---|---|---|---|',
    ...rows,
  ].join('\n');
}
