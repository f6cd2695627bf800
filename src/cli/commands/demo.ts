import { copyFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { rehearse } from '../../simulation/rehearse.ts';
import { readWell } from '../check/read-well.ts';
import { sendLive } from '../rehearse/live.ts';
import { MqttSender } from '../rehearse/mqtt-sender.ts';
import { packOf } from '../rehearse/pack.ts';
import { prepare, textFrom } from '../rehearse/prepare.ts';
import { readScenario } from '../rehearse/scenario-file.ts';
import { UsageError } from '../usage.ts';
import { runService } from '../watch/run.ts';
import { logTo } from '../watch/say.ts';
import type { Service } from '../watch/service.ts';

const FOLDER = join(import.meta.dirname, '..', '..', '..', 'demo');
const SCENARIO = join(FOLDER, 'juniper-bench.scenario.toml');
const WELL = join(FOLDER, 'juniper-bench.well.toml');
const LOG = join(FOLDER, 'juniper-bench.csv.gz');
const STUDY = './wellwright study --well demo/juniper-bench.well.toml demo/juniper-bench.csv.gz';

const ABOUT =
  '\nThe demo well, which does not exist, lives in the service now: a year of its log is being\n' +
  'read in, and a rehearsed device goes on sending from it as time goes by. The same year\n' +
  `as text: ${STUDY}\n\n`;

const DAY_S = 86_400;
/** The rehearsed device has been at it for this long when the service comes up. */
const BEFORE_S = 2 * DAY_S;

/** What `npm start` shows: the service, with a well of our own scenario living in it. */
export async function demo(args: string[]): Promise<number> {
  if (args.length > 0) throw new UsageError(`expected nothing, found ${args.join(' ')}`);
  const folder = await mkdtemp(join(tmpdir(), 'wellwright-demo-'));
  // What is done on the page is written into a file of its own.
  const file = join(folder, 'juniper-bench.well.toml');
  try {
    await copyFile(WELL, file);
    const { well, told } = await readWell(file);
    return await runService(
      {
        wells: [{ file, well, told, history: [LOG] }],
        store: join(folder, 'wellwright.sqlite'),
        host: '127.0.0.1',
        http: 8080,
        mqtt: 1883,
        orFree: true,
        broker: null,
        topics: [],
        say: logTo(process.stderr),
      },
      (service, signal) => {
        process.stdout.write(ABOUT);
        return sendRehearsed(service, signal);
      },
    );
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The well of the demo log, sound again, from the day before yesterday on as time goes by. */
async function sendRehearsed({ ports, options }: Service, signal: AbortSignal): Promise<void> {
  const nowS = Date.now() / 1000;
  const file = readScenario(await textFrom(SCENARIO, 'a scenario file'), SCENARIO);
  const startS = nowS - BEFORE_S;
  const start = new Date(startS * 1000).toISOString().slice(0, 10);
  const sound = { faults: [], services: [], guests: [], absences: [], bucketDays: [], days: 3650 };
  const scenario = await prepare({ ...file, ...sound, start }, SCENARIO);
  const rehearsal = rehearse(scenario);
  const say = (says: string) => options.say({ level: 'told', says });
  const address = `mqtt://127.0.0.1:${ports.mqtt}/wells/juniper-bench/readings`;
  const please = (ask: { intervalS: number; forS: number }) => rehearsal.please(ask);
  const sender = await MqttSender.connect({ address, credentials: null, say, please });
  const { endS } = rehearsal;
  const boot = Math.floor(nowS);
  const { failure } = await sendLive(rehearsal, {
    ...{ startS: nowS, endS, faster: 1, sender },
    signal,
    packOf: (row) => packOf({ ...row, boot: boot + row.boot }, []),
  });
  await Promise.race([sender.close(), sleep(1000)]);
  if (failure !== null && !signal.aborted) throw failure;
}
