import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import {
  type ChainReport,
  chainFigureSvg,
  checkChain,
  contextOf,
  parseSensing,
  residualFigureSvg,
} from '../../instruments/index.ts';
import { checkInstallation } from '../../instruments/installation/check-installation.ts';
import { equipmentNow } from '../../instruments/installation/site.ts';
import type { InstallationReport } from '../../model/installation.ts';
import type { Well } from '../../model/well.ts';
import { installationText } from '../../report/installation-text.ts';
import { paragraph, section } from '../../report/layout.ts';
import { type BurstChecked, checkBurst } from '../check/burst.ts';
import { burstText } from '../check/burst-text.ts';
import { type Calibrated, type Channel, calibrateFile } from '../check/calibration.ts';
import { calibrationText } from '../check/calibration-text.ts';
import { chainText } from '../check/chain-text.ts';
import { newWell } from '../check/new-well.ts';
import { readWell } from '../check/read-well.ts';
import { readArgs, UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright check --well <well.toml> [--json] [--figures <folder>]\n' +
  '         [--calibrate <pairs.csv> --channel pressure|current [--at <value>]...]\n' +
  '         [--burst <samples.csv>]\n' +
  '       wellwright check --new [--out <well.toml>]';

/** All that was asked for; null where it was not, or the well file has no `[sensing]`. */
interface Checked {
  well: string;
  told: string[];
  installation: InstallationReport;
  chain: ChainReport | null;
  calibration: Calibrated | null;
  burst: BurstChecked | null;
}

/** `check`: chain and installation before the soldering iron, calibration after; or a new file. */
export async function check(args: string[]): Promise<number> {
  const { values } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  if (values.new) {
    const other = Object.keys(values).filter((name) => !['new', 'out'].includes(name));
    if (other.length > 0) throw new UsageError(`--new goes with --out only, found --${other[0]}`);
    return newWell(values.out);
  }
  if (values.out !== undefined) throw new UsageError(`--out goes with --new only\n${USAGE}`);
  if (values.well === undefined) throw new UsageError(`expected --well <well.toml>\n${USAGE}`);
  const channel = channelFor(values.calibrate, values.channel);
  if (values.at !== undefined && channel === null) {
    throw new UsageError(`--at goes with --calibrate\n${USAGE}`);
  }
  const { well: asWritten, told } = await readWell(values.well);
  const well = { ...asWritten, equipment: equipmentNow(asWritten) };
  const checked: Checked = {
    well: well.id,
    told: [...told, ...(well.sensing === null ? [NO_CHAIN] : [])],
    installation: checkInstallation(well),
    chain: chainOf(well, values.well),
    calibration: null,
    burst: values.burst === undefined ? null : await checkBurst(values.burst, well),
  };
  if (values.calibrate !== undefined && channel !== null) {
    const asked = { channel, at: values.at ?? [] };
    checked.calibration = await calibrateFile(values.calibrate, well, asked);
  }
  if (values.figures !== undefined) await writeFigures(values.figures, checked);
  process.stdout.write(values.json ? `${JSON.stringify(checked)}\n` : textOf(checked, well));
  return 0;
}

const NO_CHAIN = 'The well file has no [sensing]: the measuring chain is not checked.';

function chainOf(well: Well, file: string): ChainReport | null {
  if (well.sensing === null) return null;
  const read = parseSensing(well.sensing);
  if (read.ok) return checkChain(read.chain, contextOf(well));
  const issues = read.issues.map(({ key, expected, found }) => {
    return `${file}: ${key}: expected ${expected}, found ${found}`;
  });
  throw new UsageError(issues.join('\n'));
}

async function writeFigures(folder: string, { chain, calibration }: Checked): Promise<void> {
  await mkdir(folder, { recursive: true });
  if (chain !== null) await writeFile(join(folder, 'chain.svg'), chainFigureSvg(chain));
  if (calibration === null) return;
  await writeFile(join(folder, 'residuals.svg'), residualFigureSvg(calibration));
}

function textOf(checked: Checked, well: Well): string {
  const { told, installation, chain, calibration, burst } = checked;
  const parts = [
    ...(chain === null ? [] : chainText(chain, well.units)),
    ...(calibration === null ? [] : calibrationText(calibration)),
    ...(burst === null ? [] : burstText(burst)),
    ...section(
      'About the well file',
      told.flatMap((text) => paragraph(text)),
    ),
  ];
  const before = parts.length === 0 ? '' : `${parts.join('\n')}\n`;
  return `${before}${installationText(installation, well)}`;
}

function channelFor(pairs: string | undefined, channel: string | undefined): Channel | null {
  if (pairs === undefined && channel === undefined) return null;
  if (pairs === undefined) throw new UsageError(`--channel goes with --calibrate\n${USAGE}`);
  if (channel === 'pressure' || channel === 'current') return channel;
  const found = channel === undefined ? 'none' : `"${channel}"`;
  throw new UsageError(`--channel: expected pressure or current, found ${found}\n${USAGE}`);
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    options: {
      well: { type: 'string' },
      json: { type: 'boolean' },
      figures: { type: 'string' },
      calibrate: { type: 'string' },
      channel: { type: 'string' },
      burst: { type: 'string' },
      at: { type: 'string', multiple: true },
      new: { type: 'boolean' },
      out: { type: 'string' },
      help: { type: 'boolean', short: 'h' },
    },
  });
}
