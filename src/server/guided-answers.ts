import Type from 'typebox';
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
      marks: Type.Record(Type.String(), Type.Number({ description: 'Unix s' })),
      trace: orNull(open('pressure and current as they were: timeS, value (Pa gauge, A)')),
    }),
  ),
});
