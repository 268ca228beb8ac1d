/** The colours of the tokens as a canvas needs them: read once a theme, never written here. */

export interface Inks {
  readonly sheet: string;
  readonly ink: string;
  readonly ink3: string;
  readonly rule2: string;
  readonly hatch: string;
  readonly high: string;
  readonly torque: string;
  readonly angle: string;
  readonly velocity: string;
}

export function readInks(): Inks {
  const style = getComputedStyle(document.documentElement);
  const token = (name: string) => style.getPropertyValue(name).trim();
  return {
    sheet: token('--sheet'),
    ink: token('--ink'),
    ink3: token('--ink-3'),
    rule2: token('--rule-2'),
    hatch: token('--hatch'),
    high: token('--high'),
    torque: token('--torque-g'),
    angle: token('--angle-g'),
    velocity: token('--velocity-g'),
  };
}
