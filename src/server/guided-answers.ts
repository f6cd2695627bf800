import Type from 'typebox';
import { GAUGES } from '../guided/gauges.ts';
import { GUIDED } from '../guided/guides.ts';
import { INSTANT, orNull } from './answers.ts';

const open = (description: string) => Type.Object({}, { additionalProperties: true, description });

const RESULT = Type.Object({
  unusable: orNull(Type.String({ description: 'why it cannot be used' })),
  found: Type.Array(
    Type.Object({
      what: Type.String(),
      value: Type.Number({ description: 'SI' }),
      std: orNull(Type.Number()),
      unit: Type.String(),
    }),
  ),
  bearing: Type.Array(Type.Object({ fault: Type.String(), logLikelihood: Type.Number() })),
  at: INSTANT,
});
const STATE = Type.Enum(['readings', 'on', 'figures', 'judged', 'kept', 'given-up']);
const SESSION = {
  id: Type.String(),
  test: Type.Enum([...GUIDED]),
  state: STATE,
  step: Type.Integer({ description: 'counted from 0' }),
  isLeaving: Type.Boolean({ description: 'given up, but for the breaker to be seen on' }),
  typed: Type.Record(Type.String(), Type.String()),
  result: orNull(RESULT),
};

/** What comes back of tests made step by step. */
export const GUIDED_TESTS = Type.Object({
  on: orNull(
    Type.Object({
      ...SESSION,
      begun: INSTANT,
      steps: Type.Array(
        Type.Object({
          of: Type.Integer(),
          watch: Type.String(),
          passedBy: orNull(Type.Enum(['readings', 'hand'])),
        }),
      ),
      seen: orNull(
        Type.Object({
          isOver: Type.Boolean(),
          since: orNull(INSTANT),
          needs: orNull(Type.Number({ description: 's, or times' })),
          has: Type.Number(),
          but: orNull(Type.String()),
        }),
      ),
      asks: Type.Array(open('what has to be measured: key, kind, whether it is needed')),
      missing: Type.Array(Type.String()),
      points: Type.Array(Type.Object({ pressurePaGauge: Type.Number(), flow: Type.String() })),
      rate: orNull(open('as in now')),
      pressurePaGauge: orNull(Type.Number()),
      lastReading: orNull(INSTANT),
      lately: Type.Array(Type.Array(Type.Number()), { description: 'Unix s and Pa gauge' }),
    }),
  ),
  rate: Type.Object({
    getsS: orNull(Type.Number({ description: 'time between two pressures, s' })),
    onChange: Type.Boolean(),
  }),
});

export const TESTS_MADE = Type.Object({
  made: Type.Array(
    Type.Object({
      ...SESSION,
      begunS: Type.Number(),
      stepFromS: Type.Number(),
      points: Type.Array(open('steady points of a throttle test')),
      passed: Type.Array(open('steps that are behind, when and by what')),
      written: Type.Integer({ description: 'blocks of it in the well file' }),
      marks: Type.Record(Type.String(), Type.Number({ description: 'Unix s' })),
      trace: orNull(open('pressure and current as they were: timeS, value (Pa gauge, A)')),
    }),
  ),
});

export const GAUGES_NOW = Type.Object({
  gauges: Type.Array(
    Type.Object({
      channel: Type.Enum([...GAUGES]),
      raw: Type.Enum(['V', 'count']),
      now: orNull(
        Type.Object({
          value: Type.Number(),
          scatter: Type.Number({ description: 'standard deviation of one' }),
          count: Type.Integer(),
          at: INSTANT,
        }),
      ),
      plain: orNull(Type.Number({ description: 'of a device that sends Pa or A' })),
      inForce: orNull(Type.Object({ from: INSTANT, sensor: orNull(Type.String()) })),
      holdsFrom: Type.Record(Type.String(), orNull(INSTANT)),
      pairs: orNull(
        Type.Array(open('raw, rawStd, reference, referenceStd in SI; atS: when it was taken')),
      ),
    }),
  ),
});

const FIGURE = orNull(
  Type.Object({
    value: Type.Number(),
    std: orNull(Type.Number({ description: 'one standard uncertainty' })),
  }),
);
const BOTH = Type.Object({ before: FIGURE, after: FIGURE });
export const GAUGES_COMPARED = Type.Object({
  cutInPaGauge: BOTH,
  cutOutPaGauge: BOTH,
  currentA: BOTH,
  days: Type.Array(Type.Object({ date: Type.String(), usedM3: BOTH, lossM3: BOTH, energyJ: BOTH })),
});

export const MADE_WELL = Type.Object({ well: Type.String() });
export const WAYS_IN = Type.Object({
  mqttPort: orNull(Type.Integer()),
  plainMqttPort: orNull(Type.Integer({ description: 'MQTT without TLS, where access is set up' })),
  isLocal: Type.Boolean({ description: 'this machine alone is listened to' }),
});
export const DEVICES = Type.Object({
  devices: orNull(Type.Array(Type.Object({ name: Type.String(), since: Type.String() }))),
});
export const LET_IN = Type.Object({
  user: Type.String(),
  key: Type.String({ description: 'the password; only its hash is kept' }),
});
