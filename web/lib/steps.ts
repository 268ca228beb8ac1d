/** The steps of the day that this version has, in their order, with their addresses. */

export const STEPS = [
  { id: 'station', path: '/tester/station' },
  { id: 'calibration', path: '/tester/calibration' },
  { id: 'subject', path: '/tester/subject' },
  { id: 'position', path: '/tester/position' },
  { id: 'alignment', path: '/tester/alignment' },
  { id: 'limits', path: '/tester/limits' },
  { id: 'weighing', path: '/tester/weighing' },
  { id: 'sets', path: '/tester' },
  { id: 'recordings', path: '/research' },
] as const;

export type StepId = (typeof STEPS)[number]['id'];
