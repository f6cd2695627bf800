import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { GAUGES, HOLDS_FROM } from '../../guided/gauges.ts';
import { answers } from '../answers.ts';
import { BY, livingOf, OF_WELL, type OfWell, Turns, wellOf } from '../ask.ts';
import { GAUGES_COMPARED, GAUGES_NOW } from '../guided-answers.ts';
import { takeJson } from '../json-body.ts';
import type { Served } from '../served.ts';
import { guidedActs, orRefused, SOMEBODY, WRITTEN } from './guided-acts.ts';

const closed = { additionalProperties: false };
const CHANNEL = Type.Enum([...GAUGES]);
const FROM = Type.Enum([...HOLDS_FROM], { description: 'from when on it holds' });
const OF_GAUGE = Type.Object({ channel: CHANNEL }, closed);
const POINT = Type.Object(
  { channel: CHANNEL, reference: WRITTEN, uncertainty: Type.Optional(WRITTEN) },
  closed,
);
const DROP = Type.Object({ channel: CHANNEL, place: Type.Integer({ minimum: 0 }) }, closed);
const KEEP = Type.Object({ channel: CHANNEL, from: FROM, by: Type.Optional(BY) }, closed);
const ASKED = Type.Object({ channel: CHANNEL, from: FROM }, closed);

/** Calibrations beside the live readings. */
export function routeGauges(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    const { gauges } = served;
    const shown = async (well: string) => ({ gauges: await gauges.now(well) });
    const now = {
      summary: 'Raw readings of now, and the calibrations that are being made',
      params: OF_WELL,
      response: answers('{ gauges }: of pressure and current', GAUGES_NOW),
    };
    own.get<{ Params: OfWell }>('/wells/:well/gauges', { schema: now }, ({ params }) => {
      const well = wellOf(served, params);
      livingOf(served, well);
      return shown(well);
    });
    const turns = new Turns(served, 1);
    const compared = {
      summary: 'The last days under the calibrations in force, and under the new one',
      params: OF_WELL,
      body: ASKED,
      response: answers('SI, of the last seven days of readings', GAUGES_COMPARED),
    };
    own.post<{ Params: OfWell; Body: Static<typeof ASKED> }>(
      '/wells/:well/gauges/compare',
      { schema: compared },
      ({ params, body: { channel, from } }, reply) => {
        const well = wellOf(served, params);
        turns.take(reply);
        return orRefused(gauges.compared(well, channel, from));
      },
    );
    const act = guidedActs(own, served, { answer: GAUGES_NOW, shown });
    act(
      '/gauges/begin',
      'Begin a calibration: faster readings are asked for',
      OF_GAUGE,
      (well, asked) => gauges.begin(well, asked.channel),
    );
    act('/gauges/point', 'The raw reading of now beside that of a gauge', POINT, (well, asked) =>
      gauges.take(well, asked.channel, asked.reference, asked.uncertainty ?? ''),
    );
    act('/gauges/drop', 'Leave a point out', DROP, (well, asked) =>
      gauges.drop(well, asked.channel, asked.place),
    );
    act('/gauges/give-up', 'Give the calibration up', OF_GAUGE, (well, asked) =>
      gauges.giveUp(well, asked.channel),
    );
    act('/gauges/keep', 'Write the calibration into the well file', KEEP, (well, asked) =>
      gauges.keep(well, asked.channel, asked.from, asked.by ?? SOMEBODY),
    );
  });
}
