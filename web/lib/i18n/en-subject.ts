/** English: the lane. As few words as can be, in the largest letters. */

export const lane = {
  title: 'Subject',
  READY: 'READY',
  PUSH: 'PUSH',
  PULL: 'PULL',
  FOLLOW: 'FOLLOW',
  REST: 'REST',
  DONE: 'DONE',
  ready: 'As hard and as fast as you can',
  rest: 'Breathe. Let go.',
  done: 'Thank you.',
  follow: 'Stay in the band',
  moment: 'One moment',
  wait: 'It goes on soon.',
  dots: (done: number, of: number) => `${done} of ${of} done`,
  level: 'How hard you push',
} as const;
