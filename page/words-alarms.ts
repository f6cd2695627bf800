import type { AlarmChange, AlarmState } from '../src/model/alarm.ts';

/** Said of a fetch that reached nobody (a TypeError), too. */
const SAY_NOT_LINKED =
  'Not done: the service cannot be reached now, so nothing has changed. Try again when this ' +
  'page is live.';

const SAY_CHANGE: Record<AlarmChange, string> = {
  seen: 'first seen',
  raised: 'stands',
  changed: 'has changed',
  back: 'is back',
  going: 'is not seen any more',
  returned: 'is over',
  passed: 'passed before it was told',
  acknowledged: 'was seen',
  shelved: 'was shelved',
  unshelved: 'came off the shelf',
  suppressed: 'is held back',
  released: 'is held back no more',
  hidden: 'cannot be seen now',
  'in-sight': 'can be seen again',
  told: 'was told',
};

/** What the page says of alarms: who has seen them, what is not told, the record of it. */
export const SAY_ALARMS = {
  title: 'Told, and seen',
  others: 'Alarms without an open finding',
  state: {
    waiting: 'It is told once it has lasted.',
    unacknowledged: 'Nobody has said that they have seen it.',
    acknowledged: 'Somebody has seen it.',
    'returned-unacknowledged': 'It is over; nobody has said that they saw it.',
    normal: 'It is over.',
  } as const satisfies Record<AlarmState, string>,
  seenBy: (who: string, when: string) => `Seen by ${who}, ${when}.`,
  shelvedBy: (who: string, until: string) => `Shelved by ${who}: not told until ${until}.`,
  underService: 'Not told while work on the well is declared.',
  underRoot: (root: string) => `Not told by itself: it follows from “${root}”.`,
  hidden: (what: string) => `It cannot be seen now because of “${what}”, and so it stands.`,
  times: (count: number) => `It has come ${count} times.`,
  unread: (why: string) => `Whether it was told and seen cannot be read: ${why}`,
  acknowledge: 'I have seen it',
  shelve: 'Shelve',
  shelveFor: 'for',
  unshelve: 'Take off the shelf',
  acts: (name: string) => `About: ${name}`,
  hours: (hours: number) =>
    hours === 1
      ? '1 hour'
      : hours < 24
        ? `${hours} hours`
        : hours === 24
          ? '1 day'
          : `${hours / 24} days`,
  name: 'Your name, for the record',
  asName: (name: string) => `as ${name}`,
  otherName: 'Somebody else',
  noName: 'Not done: write your name first, so that the record tells who it was.',
  notLinked: SAY_NOT_LINKED,
  failed: (error: unknown) =>
    error instanceof TypeError ? SAY_NOT_LINKED : `Not done: ${(error as Error).message}`,
  done: {
    acknowledge: 'Written down: you have seen it.',
    shelve: 'Written down: it is not told for that long.',
    unshelve: 'Written down: it is told again.',
  },
  record: 'Record of alarms',
  recordNote: 'Newest first. It only grows: nothing in it is ever changed or taken out.',
  recordNone: (days: number) => `Nothing in the last ${days} days.`,
  recordEarlier: 'Further back',
  recordHead: { at: 'When', what: 'What' },
  changed: (
    title: string,
    what: AlarmChange,
    { by, until }: { by: string | undefined; until: string | null },
  ) =>
    `${title}: ${SAY_CHANGE[what]}${by === undefined ? '' : `, by ${by}`}` +
    `${until === null ? '' : `, until ${until}`}`,
  entry: {
    declared: (did: string, who: string, until: string) =>
      `Work on the well declared by ${who}, until ${until}: ${did}`,
    ended: (did: string, who: string | null) =>
      `Work on the well ended${who === null ? ' by itself' : ` by ${who}`}: ${did}`,
    outage: (from: string, to: string) => `The service was not there from ${from} to ${to}`,
    notice: (subject: string) => `Told: ${subject}`,
    delivered: (receiver: string) => `${receiver} has taken it`,
    failed: (receiver: string, why: string) => `${receiver} did not take it: ${why}`,
    'given-up': (receiver: string, why: string) => `${receiver} is told no more: ${why}`,
    withdrawn: (receiver: string, why: string) => `${receiver} need not be told: ${why}`,
  },
  browser: {
    told: 'This browser is told of alarms, also while this page is closed.',
    'not-told': 'This browser is not told of alarms while this page is closed.',
    'no-keys': 'Browsers cannot be told: the alarm file has no [push] (docs/alarms.md).',
    'not-here': 'Browsers can be told over TLS, or on the machine of the service itself.',
    refused: 'This browser has been told to refuse notices: its own settings can change that.',
  },
  tellBrowser: 'Tell this browser',
  tellNoMore: 'Tell this browser no more',
  telling: 'Who is told',
  test: 'Send a test to all',
  testUnderWay: 'It is on its way…',
  testNote: 'Every receiver of the alarm file gets a test, so that you see that it arrives.',
  testNone: 'Nobody is told: this service was started without a receiver (docs/alarms.md).',
  testOk: (receiver: string) => `${receiver}: taken.`,
  testFailed: (receiver: string, why: string) => `${receiver}: not taken. ${why}`,
  work: (did: string, who: string, until: string) =>
    `Work on the well is declared by ${who}: ${did}. Nothing new is told until ${until}.`,
  declare: {
    title: 'Work on the well',
    none: 'None is declared: whatever goes wrong is told.',
    open: 'Declare work on the well',
    note:
      'While somebody works on pump, tank, switch or pipes, what is new is not told to anybody. ' +
      'It ends by itself; what stands then is told. It switches nothing off.',
    did: 'What is done',
    hours: 'It ends by itself after',
    begin: 'It begins now',
    begun: 'Declared. Nothing new is told until it ends.',
    end: 'The work is done',
    ended: 'Ended: what stands is told from now on.',
  },
} as const;
