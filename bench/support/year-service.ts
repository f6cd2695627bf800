/**
 * The whole service in a process of its own, by a clock that its parent sets, so that a year passes
 * in minutes: each message is an instant, answered by the resident memory, or `collect`, which has
 * rubbish collected before. Wells are brought to the instant every six hours of that clock, and
 * each second of the real one.
 *
 *   node bench/support/year-service.ts <store> <well.toml> <instant>
 */
import { readWell } from '../../src/cli/check/read-well.ts';
import { Service } from '../../src/cli/watch/service.ts';

export interface Told {
  port: number;
  residentMb: number;
  /** Objects and buffers that are there after a collection; null where none was asked for. */
  inUseMb: number | null;
}

const [store = '', file = '', fromS = ''] = process.argv.slice(2);
/** So far apart all is told anew, which a year of single packs would take hours for. */
const ANALYSED_S = 6 * 3600;
let nowS = Number(fromS);
let analysedS = nowS;
const { well, told } = await readWell(file);
const service = await Service.open({
  ...{ wells: [{ file, well, told, history: [] }], store, host: '127.0.0.1', http: 0, mqtt: null },
  ...{ orFree: false, broker: null, topics: [], clock: { nowS: () => nowS } },
  say: ({ level, says }) => {
    if (level === 'trouble') process.stderr.write(`${says}\n`);
  },
});

const MB = 1 << 20;

function tell(inUseMb: number | null): void {
  const residentMb = process.memoryUsage.rss() / MB;
  process.send!({ port: service.ports.http, residentMb, inUseMb } satisfies Told);
}

process.on('message', async (message: number | 'collect') => {
  if (message === 'collect') {
    await globalThis.gc?.({ execution: 'async' });
    const { heapUsed, external } = process.memoryUsage();
    return tell((heapUsed + external) / MB);
  }
  nowS = message;
  if (nowS - analysedS >= ANALYSED_S) {
    analysedS = nowS;
    await service.wells.advance();
  }
  tell(null);
});
process.once('SIGTERM', async () => {
  await service.close();
  process.exit();
});
await service.wells.advance();
tell(null);
