import Type, { type TSchema } from 'typebox';
import { ISSUES } from './book-answers.ts';
import { RECORD_SCHEMAS } from './documents.ts';

/** What comes back of each address, for the page of OpenAPI; tests hold the answers to it. */
export const INSTANT = Type.String({ format: 'date-time' });
export const orNull = (schema: TSchema) => Type.Union([schema, Type.Null()]);
const number = (description: string) => Type.Number({ description });
const COUNT = Type.Integer({ minimum: 0 });
const COUNTS = Type.Record(Type.String(), COUNT);
const STATE = Type.Enum(['alive', 'failed', 'no-well-file']);
const SAYS = orNull(
  Type.String({ description: 'why it does not live, or what its analysis threw' }),
);
const REFUSED = {
  index: Type.Integer({ minimum: -1, description: 'which record; -1: the pack as a whole' }),
  code: Type.String({ description: 'docs/errors.md lists them' }),
};

const PROBLEM = Type.Object({
  type: Type.String(),
  title: Type.String(),
  status: Type.Integer(),
  detail: Type.String({ description: 'what was expected and what was found' }),
  code: Type.String({ description: 'docs/errors.md lists them' }),
  errors: Type.Optional(ISSUES),
});

/** What comes back; whatever else comes is problem details. */
export const answers = (description: string, schema: TSchema, type = 'application/json') => ({
  200: { description, content: { [type]: { schema } } },
  default: {
    description: 'What went wrong (RFC 9457)',
    content: { 'application/problem+json': { schema: PROBLEM } },
  },
});

export const TEXT = Type.String();
export const LIVES = Type.Object({ lives: Type.Literal(true) });
export const WHO = Type.Object({
  signIn: Type.Boolean({ description: 'whether one has to sign in here at all' }),
  who: orNull(
    Type.Object({
      role: Type.Enum(['owner', 'reader', 'device']),
      name: Type.String(),
      well: orNull(Type.String({ description: 'the one well of a device' })),
    }),
  ),
});
export const SIGNED_OUT = Type.Object({ out: Type.Literal(true) });
export const READY = Type.Object({
  ready: Type.Boolean(),
  takesReadings: Type.Boolean(),
  why: orNull(Type.String({ description: 'why no readings are taken' })),
  wells: Type.Array(Type.Object({ well: Type.String(), state: STATE, says: SAYS })),
});
export const WELLS = Type.Object({
  wells: Type.Array(
    Type.Object({
      well: Type.String({ description: 'id of the well' }),
      name: orNull(Type.String()),
      state: STATE,
      says: SAYS,
      failures: Type.Integer({ minimum: 0, description: 'how often its analysis has thrown' }),
      readings: Type.Integer({ minimum: 0, description: 'kept' }),
      readingsSinceStart: COUNT,
      first: orNull(INSTANT),
      last: orNull(INSTANT),
    }),
  ),
});
export const COUNTERS = Type.Object({
  sinceStart: COUNTS,
  wells: Type.Record(
    Type.String(),
    Type.Object({ accepted: COUNT, duplicate: COUNT, refused: COUNTS }),
  ),
});
export const LATEST_REFUSED = Type.Object({
  refused: Type.Array(
    Type.Object({
      arrived: INSTANT,
      device: Type.String({ description: "'' for an unnamed one" }),
      boot: orNull(Type.Integer()),
      seq: orNull(Type.Integer()),
      ...REFUSED,
    }),
  ),
});
export const HANDED_IN = Type.Object({
  accepted: COUNT,
  duplicate: COUNT,
  refused: Type.Array(Type.Object(REFUSED)),
});
export const STRETCHES = Type.Object({
  channel: Type.String(),
  from: INSTANT,
  to: INSTANT,
  stretchS: number('how long each is, s'),
  stretches: Type.Array(
    Type.Object({
      from: INSTANT,
      count: COUNT,
      least: orNull(Type.Number()),
      greatest: orNull(Type.Number()),
      mean: orNull(Type.Number()),
    }),
  ),
});
export const recordsOf = (path: keyof typeof RECORD_SCHEMAS) =>
  Type.Object({ [path]: Type.Array(RECORD_SCHEMAS[path]), next: orNull(INSTANT) });

export const NOW = Type.Object({
  schema: Type.Literal(1),
  well: Type.String(),
  at: orNull(INSTANT),
  lastReading: orNull(INSTANT),
  silence: orNull(
    Type.Object({
      since: INSTANT,
      forS: number('s'),
      usualS: number('a silence up to this is usual, s'),
      urgency: orNull(Type.String()),
    }),
  ),
  replay: orNull(Type.Object({ at: INSTANT })),
  pressurePaGauge: orNull(number('Pa')),
  currentA: orNull(number('A')),
  pump: Type.Object({ on: orNull(Type.Boolean()), since: orNull(INSTANT) }),
  flowM3PerS: orNull(number('m3/s')),
  flowM3PerSStd: orNull(number('m3/s')),
  day: orNull(RECORD_SCHEMAS.days),
  findings: Type.Array(RECORD_SCHEMAS.findings),
  clocks: Type.Array(
    Type.Object({
      device: Type.String(),
      since: INSTANT,
      behindS: number('its times lie so far behind their arrival, s'),
      apartUntil: orNull(INSTANT),
    }),
  ),
  test: orNull(
    Type.Object({
      what: Type.String(),
      start: INSTANT,
      stop: INSTANT,
      needsS: number('s'),
      getsS: orNull(number('s')),
      fastEnough: orNull(Type.Boolean()),
    }),
  ),
  unknown: Type.Array(Type.Object({ field: Type.String(), because: Type.String() })),
});

const QUANTITY = orNull(
  Type.Object({
    value: number('SI'),
    std: number('standard uncertainty, in the same unit'),
    source: Type.String(),
    onS: orNull(number('taken on, Unix s')),
  }),
);
/** An object that the page of formats tells of, not this. */
const open = (description = 'docs/formats/well-file.md') =>
  Type.Object({}, { additionalProperties: true, description });
export const WELL_FILE = Type.Object({
  name: Type.String(),
  id: Type.String(),
  timeZone: Type.String({ description: 'IANA zone' }),
  altitudeM: QUANTITY,
  units: Type.Enum(['us', 'si']),
  equipment: open('by name and unit, as in docs/formats/well-file.md'),
  energyPrice: orNull(Type.Object({ perJ: Type.Number(), currency: Type.String() })),
  people: orNull(Type.Number()),
  logging: open(),
  knownUses: Type.Array(open()),
  calibrations: Type.Array(open()),
  bucketTests: Type.Array(open()),
  otherTests: Type.Array(open()),
  services: Type.Array(open()),
  sensing: orNull(open()),
});
