/** What differs from last time, and what is only mirrored: the example of the look's own picture. */
import { describe, expect, it } from 'vitest';
import {
  asLastTime,
  comparePositions,
  fieldTrouble,
  USUAL_FIELDS,
} from '../../../shared/preparation/position.ts';

const THEN = {
  side: 'left',
  values: {
    Backrest: 75,
    'Seat, fore and aft': 14,
    'Seat height': 6,
    Height: 31,
    Turn: -90,
    Tilt: 0,
    'Lever length': 9,
    'Next joint': 30,
    Support: 3,
  },
} as const;
const TODAY = {
  ...THEN.values,
  Backrest: 70,
  Turn: 90,
  'Lever length': 9.5,
  Support: 4,
};

describe('position', () => {
  it('tells what differs, by how much, and what is mirrored', () => {
    const rows = comparePositions(USUAL_FIELDS, TODAY, THEN, 'right');
    expect(rows.map(({ letter, state }) => letter + state)).toEqual([
      'Adiffers',
      'Bsame',
      'Csame',
      'Dsame',
      'Emirrored',
      'Fsame',
      'Gdiffers',
      'Hsame',
      'Idiffers',
    ]);
    expect(rows[0]?.difference).toBe(-5);
    expect(rows[6]?.difference).toBe(0.5);
    expect(rows[8]?.difference).toBe(1);
  });

  it('turns last time to this side, and takes it back unchanged on the same side', () => {
    const turned = asLastTime(USUAL_FIELDS, THEN, 'right');
    expect(turned).toMatchObject({ Backrest: 75, Turn: 90 });
    expect(Object.is(turned['Tilt'], 0)).toBe(true);
    expect(asLastTime(USUAL_FIELDS, THEN, 'left')).toEqual(THEN.values);
    const rows = comparePositions(USUAL_FIELDS, turned, THEN, 'right');
    expect(rows.every(({ state }) => state === 'same' || state === 'mirrored')).toBe(true);
  });

  it('says what is still open, and what there was nothing to compare with', () => {
    const rows = comparePositions(USUAL_FIELDS, { Backrest: 70 }, null, 'right');
    expect(rows[0]?.state).toBe('new');
    expect(rows[1]?.state).toBe('open');
  });

  it('refuses what the machine cannot be set to', () => {
    const field = { name: 'Height', unit: 'cm', isMirrored: false, least: 10, most: 60 };
    expect(fieldTrouble(field, 61)).toBe('Height goes up to 60 cm.');
    expect(fieldTrouble(field, 9)).toBe('Height goes down to 10 cm.');
    expect(fieldTrouble(field, 60)).toBe('');
  });
});
