import type { FastifyInstance } from 'fastify';
import { URGENCIES } from '../../model/study.ts';
import { type Family, OPEN_METRICS, openMetrics, type Sample } from '../open-metrics.ts';
import type { Served } from '../served.ts';

/** How the service fares, for a machine that looks on: docs/service.md lists it. */
export function routeMetrics(app: FastifyInstance, served: Served): void {
  app.get('/metrics', { schema: { hide: true } }, async (_request, reply) => {
    const families = [...serviceFamilies(served), ...(await wellFamilies(served))];
    return reply.header('content-type', OPEN_METRICS).send(openMetrics(families));
  });
}

function serviceFamilies({ counters, counts, feed, holds, storeBytes }: Served): Family[] {
  const counted = { ...counters(), ...counts.all(), ...feed.counts };
  const { rss, heapUsed, external } = process.memoryUsage();
  const memory = { resident: rss, heap: heapUsed, external };
  return [
    {
      name: 'wellwright_counted',
      type: 'counter',
      help: 'What came in, what was refused and which bounds bit, since the start.',
      samples: Object.entries(counted).map(([counter, value]) => ({ labels: { counter }, value })),
    },
    gauge('wellwright_takes_readings', 'Whether readings are taken.', [
      { value: holds() === null ? 1 : 0 },
    ]),
    gauge('wellwright_listening', 'Who listens to events.', [{ value: feed.listening }]),
    {
      ...gauge('wellwright_store_bytes', 'What the store takes on the disk.', [
        { value: storeBytes() },
      ]),
      unit: 'bytes',
    },
    {
      ...gauge(
        'wellwright_memory_bytes',
        'Memory of the process.',
        Object.entries(memory).map(([kind, value]) => ({ labels: { kind }, value })),
      ),
      unit: 'bytes',
    },
  ];
}

/** What is known of each well; a well that has nothing yet is left out. */
async function wellFamilies(served: Served): Promise<Family[]> {
  const { names, store, wells, clock } = served;
  const ever = await Promise.all(
    [...names.keys()].map(async (well) => ({ well, ...(await store.counters(well)) })),
  );
  const nowS = clock.nowS();
  const at = (instant: (well: string) => string | null | undefined): Sample[] =>
    ever.flatMap(({ well }) => {
      const found = instant(well);
      return found ? [{ labels: { well }, value: Date.parse(found) / 1000 }] : [];
    });
  const analysed = at((well) => wells.get(well)?.now().at);
  return [
    {
      name: 'wellwright_readings',
      type: 'counter',
      help: 'Readings of a well ever, by what became of them.',
      samples: ever.flatMap(({ well, accepted, duplicate }) => [
        { labels: { well, became: 'accepted' }, value: accepted },
        { labels: { well, became: 'duplicate' }, value: duplicate },
      ]),
    },
    {
      name: 'wellwright_refused',
      type: 'counter',
      help: 'Records and packs of a well that were of no use, ever, by why.',
      samples: ever.flatMap(({ well, refused }) =>
        Object.entries(refused).map(([code, value]) => ({ labels: { well, code }, value })),
      ),
    },
    gauge(
      'wellwright_alive',
      'Whether a well is analysed.',
      wells.states().map(({ wellId, state }) => ({
        labels: { well: wellId },
        value: state === 'alive' ? 1 : 0,
      })),
    ),
    seconds(
      'wellwright_last_reading_seconds',
      'Unix time of the last reading kept.',
      at((well) => wells.get(well)?.now().lastReading),
    ),
    seconds('wellwright_analysed_seconds', 'Unix time of the last reading analysed.', analysed),
    seconds(
      'wellwright_lag_seconds',
      'How long ago that was.',
      analysed.map(({ value, ...of }) => ({ ...of, value: nowS - value })),
    ),
    gauge('wellwright_alarms', 'Alarms that are not over.', alarmsOf(served)),
  ];
}

const alarmsOf = ({ names, alarms }: Served): Sample[] =>
  [...names.keys()].flatMap((well) => {
    const standing = (alarms(well)?.alarms ?? []).filter(({ state }) => state !== 'normal');
    return URGENCIES.filter((urgency) => urgency !== 'note').map((urgency) => ({
      labels: { well, urgency },
      value: standing.filter((one) => one.urgency === urgency).length,
    }));
  });

const gauge = (name: string, help: string, samples: Sample[]): Family => ({
  ...{ name, type: 'gauge', help, samples },
});

const seconds = (name: string, help: string, samples: Sample[]): Family => ({
  ...gauge(name, help, samples),
  unit: 'seconds',
});
