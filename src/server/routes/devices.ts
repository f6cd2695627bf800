import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import { type Gate, GateRefuses } from '../../ports/gate.ts';
import { ENDED } from '../alarm-answers.ts';
import { answers } from '../answers.ts';
import { OF_WELL, type OfWell, wellOf } from '../ask.ts';
import { DEVICES, LET_IN } from '../guided-answers.ts';
import { takeJson } from '../json-body.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';

const NAME = Type.String({
  pattern: '^[a-z0-9-]{1,32}$',
  description: 'as the device names itself',
});
const ASKED = Type.Object({ device: NAME }, { additionalProperties: false });
const NOTHING = Type.Object({}, { additionalProperties: false });
const OF_DEVICE = Type.Object({ well: OF_WELL.properties.well, device: NAME });

/** Which devices of a well have a key, and keys for them, where access is set up. */
export function routeDevices(api: FastifyInstance, served: Served): void {
  api.register(async (own) => {
    takeJson(own, served.limits);
    const shown = {
      summary: 'Devices of a well that have a key',
      params: OF_WELL,
      response: answers('{ devices }: null where nobody needs a key', DEVICES),
    };
    own.get<{ Params: OfWell }>('/wells/:well/devices', { schema: shown }, ({ params }) => {
      const well = wellOf(served, params);
      return { devices: served.gate?.devicesOf(well) ?? null };
    });
    routeLetIn(own, served);
    routeShutOut(own, served);
  });
}

function routeLetIn(own: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'A key for a device, shown this once; an old one of the same name is over',
    params: OF_WELL,
    body: ASKED,
    response: answers('{ user, key }', LET_IN),
  };
  own.post<{ Params: OfWell; Body: Static<typeof ASKED> }>(
    '/wells/:well/devices',
    { schema },
    ({ params, body: { device }, who }, reply) => {
      const user = `${wellOf(served, params)}/${device}`;
      const key = asked(served, (gate) => gate.letIn(user, who.name));
      reply.header('cache-control', 'no-store');
      return { user, key };
    },
  );
}

function routeShutOut(own: FastifyInstance, served: Served): void {
  const schema = {
    summary: 'The key of a device is over',
    params: OF_DEVICE,
    body: NOTHING,
    response: answers('{ ended: true }', ENDED),
  };
  own.post<{ Params: Static<typeof OF_DEVICE> }>(
    '/wells/:well/devices/:device/shut-out',
    { schema },
    ({ params, who }) => {
      const user = `${wellOf(served, params)}/${params.device}`;
      asked(served, (gate) => gate.shutOut(user, who.name));
      return { ended: true };
    },
  );
}

function asked<T>({ gate }: Served, of: (gate: Gate) => T): T {
  if (gate === null) throw new Refusal('not-possible', 'expected access to be set up');
  try {
    return of(gate);
  } catch (error) {
    if (error instanceof GateRefuses) throw new Refusal('not-possible', error.message);
    throw error;
  }
}
