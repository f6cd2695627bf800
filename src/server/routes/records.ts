import type { FastifyInstance } from 'fastify';
import Type, { type Static } from 'typebox';
import type { RecordKind } from '../../ports/reading-store.ts';
import { answers, recordsOf } from '../answers.ts';
import { instant, OF_WELL, type OfWell, SPAN, spanS, wellOf } from '../ask.ts';
import type { Served } from '../served.ts';

const KINDS = {
  runs: ['run', 'Pump runs that start in a span'],
  days: ['day', 'Days of a span, with what their runs were like; one that goes on has `open`'],
  draws: ['draw', 'Draws of water that start in a span'],
  findings: ['finding', 'Findings raised in a span, those cleared since among them'],
} as const satisfies Record<string, readonly [RecordKind, string]>;

const ASKED = Type.Object(
  { ...SPAN, most: Type.Optional(Type.Integer({ minimum: 1 })) },
  { additionalProperties: false },
);

/** Runs, days, draws and findings as the store has them: brought up to date as readings come. */
export function routeRecords(api: FastifyInstance, served: Served): void {
  for (const [path, [kind, summary]] of Object.entries(KINDS)) {
    const response = answers(
      'As in a study, by time; where there are more than was asked for or is given at once, ' +
        '`next` is the `from` of the rest',
      recordsOf(path as keyof typeof KINDS),
    );
    const schema = { summary, params: OF_WELL, querystring: ASKED, response };
    api.get<{ Params: OfWell; Querystring: Static<typeof ASKED> }>(
      `/wells/:well/${path}`,
      { schema },
      async ({ params, query }) => {
        const { fromS, toS } = spanS(query);
        const most = Math.min(query.most ?? Infinity, served.limits.records);
        const all = await served.store.records(wellOf(served, params), kind, fromS, toS);
        let cut = Math.min(most, all.length);
        // Those of one instant are given together.
        while (cut < all.length && cut > 0 && all[cut]!.atS === all[cut - 1]!.atS) cut += 1;
        const next = cut < all.length ? instant(all[cut]!.atS) : null;
        if (next !== null && most === served.limits.records) served.counts.add('http-in-parts');
        return { [path]: all.slice(0, cut).map(({ body }) => body), next };
      },
    );
  }
}
