import { mkdir, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { rehearse as rehearsalOf } from '../../simulation/rehearse.ts';
import type { Scenario } from '../../simulation/scenario.ts';
import { wellFileText } from '../../simulation/well-file-text.ts';
import { sendLive } from '../rehearse/live.ts';
import { LogWriter } from '../rehearse/log-writer.ts';
import { prepare, textFrom } from '../rehearse/prepare.ts';
import { faultNamed, readScenario, type ScenarioFile } from '../rehearse/scenario-file.ts';
import { UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright rehearse [<scenario.toml>] [--well <well.toml> | --system <letter>]\n' +
  '         [--fault <name>]... [--from-day <n>] [--severity <x>] [--days <n>] [--seed <n>]\n' +
  '         (--out <folder> | --to <address> [--speed <n>])';

const DAY_S = 86_400;

/** `rehearse`: a well of known truth, as files or as a device that reports to a service. */
export async function rehearse(args: string[]): Promise<number> {
  const { values, positionals } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [path] = positionals;
  const text = path === undefined ? '' : await textFrom(path, 'a scenario file');
  const file = readScenario(text, path ?? 'scenario');
  override(file, values);
  const scenario = await prepare(file, path ?? 'scenario');
  if (values.to !== undefined) return live(scenario, values.to, number(values.speed, '--speed'));
  if (values.out === undefined) throw new UsageError(`expected --out or --to\n${USAGE}`);
  return toFiles(file, scenario, values.out);
}

type Values = ReturnType<typeof parsed>['values'];

/** What the command line says stands above what the file says. */
function override(file: ScenarioFile, values: Values): void {
  if (values.well !== undefined) file.well = resolve(values.well);
  if (values.system !== undefined) {
    file.system = values.system;
    file.well = null;
  }
  if (values.days !== undefined) file.days = whole(values.days, '--days');
  if (values.seed !== undefined) file.seed = whole(values.seed, '--seed');
  const onsetDay = number(values['from-day'], '--from-day');
  const severity = number(values.severity, '--severity');
  for (const fault of values.fault) {
    file.faults.push({ name: faultNamed(fault), onsetDay, severity });
  }
}

async function toFiles(file: ScenarioFile, scenario: Scenario, folder: string): Promise<number> {
  await mkdir(folder, { recursive: true });
  const at = (ending: string) => join(folder, `${file.name}.${ending}`);
  const rehearsal = rehearsalOf(scenario);
  const writer = new LogWriter(at('csv.gz'), file.channels);
  const beganMs = performance.now();
  rehearsal.run((row) => writer.take(row));
  const tookS = (performance.now() - beganMs) / 1000;
  await writer.close();
  const { system, seed, timeZone, startS, reporting } = scenario;
  const services = file.services.map(({ onDay, ...rest }) => ({
    ...rest,
    onS: startS + onDay * DAY_S + 15 * 3600,
  }));
  const well = wellFileText({
    name: file.name,
    system,
    seed,
    timeZone,
    reporting,
    buckets: rehearsal.buckets(),
    tests: rehearsal.tests(),
    services,
  });
  await writeFile(at('well.toml'), well);
  await writeFile(at('truth.json'), `${JSON.stringify(rehearsal.truth())}\n`);
  const speed = Math.round((scenario.days * DAY_S) / tookS);
  process.stdout.write(
    `${at('csv.gz')}: ${writer.rows} rows of ${scenario.days} days, ` +
      `${speed} s rehearsed a second\n` +
      `${at('well.toml')}: the well as its keeper knows it\n` +
      `${at('truth.json')}: what really happened\n`,
  );
  return 0;
}

async function live(scenario: Scenario, address: string, speed: number): Promise<number> {
  const { startS } = scenario;
  const rehearsal = rehearsalOf(scenario);
  const { endS } = rehearsal;
  const sent = await sendLive(rehearsal, { address, startS, endS, speed, post: fetch });
  process.stdout.write(`${sent} rows sent to ${address}\n`);
  return 0;
}

function parsed(args: string[]) {
  try {
    return parseArgs({
      args,
      allowPositionals: true,
      options: {
        help: { type: 'boolean', short: 'h', default: false },
        well: { type: 'string' },
        system: { type: 'string' },
        fault: { type: 'string', multiple: true, default: [] },
        'from-day': { type: 'string', default: '5' },
        severity: { type: 'string', default: '1' },
        days: { type: 'string' },
        seed: { type: 'string' },
        out: { type: 'string' },
        to: { type: 'string' },
        speed: { type: 'string', default: '1' },
      },
    });
  } catch (error) {
    throw new UsageError(`${error instanceof Error ? error.message : String(error)}\n${USAGE}`);
  }
}

function number(text: string, option: string): number {
  const value = Number(text);
  if (text.trim() !== '' && value >= 0 && Number.isFinite(value)) return value;
  throw new UsageError(`${option}: expected a number from 0 on, found "${text}"`);
}

function whole(text: string, option: string): number {
  const value = number(text, option);
  if (Number.isInteger(value)) return value;
  throw new UsageError(`${option}: expected a whole number, found "${text}"`);
}
