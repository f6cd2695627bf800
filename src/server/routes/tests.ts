import type { FastifyInstance } from 'fastify';
import Type from 'typebox';
import { GUIDED } from '../../guided/guides.ts';
import { answers } from '../answers.ts';
import { BY, livingOf, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import { GUIDED_TESTS, TESTS_MADE } from '../guided-answers.ts';
import { takeJson } from '../json-body.ts';
import type { Served } from '../served.ts';
import { guidedActs, SOMEBODY, WRITTEN } from './guided-acts.ts';

const closed = { additionalProperties: false };
const BEGIN = Type.Object({ test: Type.Enum([...GUIDED]) }, closed);
const STEP = Type.Object({ step: Type.Integer({ minimum: -1, maximum: 20 }) }, closed);
const TYPED = Type.Object({ key: Type.String({ maxLength: 20 }), value: WRITTEN }, closed);
const POINT = Type.Object({ flow: WRITTEN }, closed);
const NOTHING = Type.Object({}, closed);
const KEEP = Type.Object({ by: Type.Optional(BY) }, closed);

const SAYS =
  '{ on, rate }: the test that is on with what its step waits for, or null; how fast pressure ' +
  'comes. docs/page.md says what the states mean';
/** Of those that were made so many are shown: each has its trace. */
const MADE_MOST = 50;

/** Tests of the well, step by step. */
export function routeTests(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    const { guided } = served;
    const shown = async (well: string) => ({
      on: await guided.on(well),
      rate: livingOf(served, well).pressureRate(),
    });
    const schema = {
      summary: 'The test that is being made step by step',
      params: OF_WELL,
      response: answers(SAYS, GUIDED_TESTS),
    };
    own.get<{ Params: OfWell }>('/wells/:well/tests', { schema }, ({ params }) =>
      shown(wellOf(served, params)),
    );
    const made = {
      summary: 'Tests that were made step by step or given up, each with its readings',
      params: OF_WELL,
      response: answers('{ made }: the newest first', TESTS_MADE),
    };
    own.get<{ Params: OfWell }>('/wells/:well/tests-made', { schema: made }, async ({ params }) => {
      const all = await guided.done(wellOf(served, params));
      return { made: all.slice(0, MADE_MOST) };
    });
    const act = guidedActs(own, served, { answer: GUIDED_TESTS, shown });
    act('/tests', 'Begin a test', BEGIN, (well, { test }) => guided.begin(well, test));
    act(
      '/tests/on/step',
      'A step is done; -1: go on with the readings as they come',
      STEP,
      (well, asked) => guided.confirm(well, asked.step),
    );
    act('/tests/on/figure', 'What was measured', TYPED, (well, { key, value }) =>
      guided.type(well, key, value),
    );
    act(
      '/tests/on/point',
      'A flow measured at the steady pressure of now',
      POINT,
      (well, { flow }) => guided.addPoint(well, flow),
    );
    act('/tests/on/keep', 'Write the test into the well file', KEEP, (well, { by }) =>
      guided.keep(well, by ?? SOMEBODY),
    );
    act('/tests/on/give-up', 'Give the test up', NOTHING, (well) => guided.giveUp(well));
  });
}
