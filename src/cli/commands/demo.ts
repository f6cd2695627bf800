import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { gunzipSync } from 'node:zlib';
import { localDate, startOfNextLocalDayS } from '../../base/zone.ts';
import { rehearse } from '../../simulation/rehearse.ts';
import { readWell } from '../check/read-well.ts';
import { movedToEnd } from '../demo/moved-year.ts';
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
  '\nThe demo well, which does not exist, lives in the service now: the year of its log, moved\n' +
  'to end the day before yesterday, is read in, and a rehearsed device goes on from there as\n' +
  `time goes by. The same year as text: ${STUDY}\n\n`;

const DAY_S = 86_400;
/** The rehearsed device has been at it for so many days when the service comes up. */
const DAYS_BEFORE = 2;

/** What `npm start` shows: the service, with a well of our own scenario living in it. */
export async function demo(args: string[]): Promise<number> {
  if (args.length > 0) throw new UsageError(`expected nothing, found ${args.join(' ')}`);
  const folder = await mkdtemp(join(tmpdir(), 'wellwright-demo-'));
  // What is done on the page is written into a file of its own.
  const file = join(folder, 'juniper-bench.well.toml');
  const log = join(folder, 'juniper-bench.csv');
  try {
    const { timeZone } = (await readWell(WELL)).well;
    const startS = startOfNextLocalDayS(timeZone, Date.now() / 1000 - (DAYS_BEFORE + 1) * DAY_S);
    await writeYear({ file, log }, startS);
    const { well, told } = await readWell(file);
    return await runService(
      {
        wells: [{ file, well, told, history: [log] }],
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
        return sendRehearsed(service, signal, localDate(timeZone, startS));
      },
    );
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** The well file and the year of its log, moved to end at an instant. */
async function writeYear(to: { file: string; log: string }, endS: number): Promise<void> {
  const log = gunzipSync(await readFile(LOG)).toString();
  const moved = movedToEnd({ log, wellFile: await readFile(WELL, 'utf8') }, endS);
  await writeFile(to.file, moved.wellFile);
  await writeFile(to.log, moved.log);
}

/** The well of the demo log, sound again, from a date on as time goes by. */
async function sendRehearsed(
  { ports, options }: Service,
  signal: AbortSignal,
  start: string,
): Promise<void> {
  const nowS = Date.now() / 1000;
  const file = readScenario(await textFrom(SCENARIO, 'a scenario file'), SCENARIO);
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
