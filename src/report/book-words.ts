import type { BlockKind } from './book-rows.ts';

/** What the book says beside figures and what people wrote. */
export const BOOK_WORDS = {
  kinds: {
    service: 'service',
    test: 'test',
    calibration: 'calibration',
    note: 'note',
    'water-sample': 'water sample',
    file: 'well file',
  } satisfies Record<BlockKind, string>,
  resets: {
    tank: 'tank',
    pump: 'pump',
    well: 'well',
    switch: 'switch',
    'pressure-sensor': 'pressure sensor',
    'current-sensor': 'current sensor',
    plumbing: 'plumbing',
  },
  noDid: 'service',
  ends: (parts: string) => `What was learnt of ${parts} ends here and is learnt anew.`,
  now: (parts: string) => `From now on: ${parts}.`,
  calibration: (channel: string, sensor: string | null, points: number) =>
    `${channel}${sensor === null ? '' : ` (${sensor})`}, ` +
    `${points} ${points === 1 ? 'point' : 'points'}`,
  drawn: (volume: string) => `${volume} drawn.`,
  fileEdited: 'The well file was edited.',
  byAnotherHand: 'The well file was edited outside this program.',
  failed: (why: string) => `That did not come about: ${why}.`,
} as const;
