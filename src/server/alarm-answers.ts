import Type from 'typebox';
import { ALARM_STATES } from '../model/alarm.ts';
import { type QuietHours, WAYS } from '../model/alarm-settings.ts';
import { URGENCIES } from '../model/study.ts';
import { INSTANT, orNull } from './answers.ts';

/** What comes back of the addresses of alarms, for the page of OpenAPI. */
const URGENCY = Type.Enum([...URGENCIES]);
const BY_WHOM = { by: Type.String({ description: 'who asked' }) };
const SERVICE = Type.Object({
  did: Type.String(),
  ...BY_WHOM,
  from: INSTANT,
  until: INSTANT,
});

export const ALARM = Type.Object({
  id: Type.String(),
  fault: Type.String(),
  device: orNull(Type.String({ description: 'the silent device' })),
  finding: orNull(Type.String({ description: 'id of the finding it stands for now' })),
  urgency: URGENCY,
  probability: orNull(Type.Number()),
  since: INSTANT,
  state: Type.Enum([...ALARM_STATES]),
  suppressed: orNull(
    Type.Object({ by: Type.Enum(['root', 'service']), root: orNull(Type.String()) }),
  ),
  hiddenBy: orNull(Type.String({ description: 'what hides it' })),
  times: Type.Integer({ minimum: 0, description: 'how often it has come' }),
  told: orNull(URGENCY),
  title: Type.String(),
  consequence: Type.String(),
  timeToAct: Type.String(),
  action: Type.String(),
  cautions: Type.Array(Type.Object({ id: Type.String(), says: Type.String() })),
  seen: INSTANT,
  raised: orNull(INSTANT),
  gone: orNull(INSTANT),
  returned: orNull(INSTANT),
  acknowledged: orNull(Type.Object({ at: INSTANT, ...BY_WHOM })),
  shelved: orNull(Type.Object({ until: INSTANT, ...BY_WHOM })),
});
const CLOCK = Type.String({ pattern: '^([01]\\d|2[0-3]):[0-5]\\d$' });
/** Quiet hours as clocks show them, by the well's own. */
export const QUIET = Type.Array(CLOCK, { minItems: 2, maxItems: 2, description: 'from and to' });
const RECEIVER = Type.Object({
  name: Type.String(),
  way: Type.Enum([...WAYS]),
  from: URGENCY,
  quiet: orNull(QUIET),
});

export const ALARMS = Type.Object({
  standing: Type.Array(ALARM),
  over: Type.Array(ALARM),
  service: orNull(SERVICE),
  receivers: Type.Array(RECEIVER),
});
export const ALARM_RECORD = Type.Object({
  entries: Type.Array(
    Type.Object({ at: INSTANT, what: Type.String() }, { additionalProperties: true }),
  ),
  next: orNull(INSTANT),
});
export const DECLARED = SERVICE;
export const ENDED = Type.Object({ ended: Type.Literal(true) });
export const TESTED = Type.Object({
  told: Type.Array(Type.Object({ receiver: Type.String(), says: orNull(Type.String()) })),
});

const clockOf = (s: number): string => new Date(s * 1000).toISOString().slice(11, 16);

export const shownQuiet = ({ fromS, toS }: QuietHours): string[] => [clockOf(fromS), clockOf(toS)];
