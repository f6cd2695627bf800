/**
 * What the keeper of a sound well is told: every alarm is one too many, but for heavy use that is
 * heavy use. docs/alarms.md says what the figures mean.
 *
 *   node bench/alarms-sound.ts [--wells 7] [--days 30]
 */
import { parseArgs } from 'node:util';
import type { Notice } from '../src/model/alarm.ts';
import { rehearsedLog } from '../test/support/rehearsed-log.ts';
import { SimulatedService } from './support/simulated-service.ts';

const { values } = parseArgs({
  options: { wells: { type: 'string', default: '7' }, days: { type: 'string', default: '30' } },
});
const LETTERS = 'ABCDEHJ';
/** The service looks this often: what stands for less is not told, but for what cannot wait, s. */
const STEP_S = 300;

/** All notices of one sound well with a device and network as people have them. */
async function toldOf(k: number, days: number): Promise<Notice[]> {
  const letter = LETTERS[k % LETTERS.length]!;
  const bucketDays = [2];
  const log = rehearsedLog({ letter, days, seed: 23 + k, restS: 30, messy: true, bucketDays });
  const told: Notice[] = [];
  const service = await SimulatedService.open({
    well: log.well,
    alarms: { settings: { receivers: [], heartbeat: null }, folder: '.' },
    startS: log.timeS[0]! - 1,
    tell: (event) => {
      if (event.kind === 'alarm' && event.entry.what === 'notice') told.push(event.entry.notice);
    },
  });
  try {
    for (let at = 0; at < log.timeS.length; ) {
      service.nowS += STEP_S;
      const from = at;
      while (at < log.timeS.length && log.timeS[at]! <= service.nowS) at += 1;
      await service.takeReadings(log, from, at);
      await service.advance();
    }
    return told;
  } finally {
    await service.close();
  }
}

const wells = Number(values.wells);
const days = Number(values.days);
const all: Notice[] = [];
for (let k = 0; k < wells; k++) {
  const told = await toldOf(k, days);
  for (const { at, urgency, kind, subject } of told)
    console.log(`${at.slice(0, 16)}  ${urgency.padEnd(6)} ${kind.padEnd(7)} ${subject}`);
  all.push(...told);
}
const raised = all.filter(({ kind }) => kind !== 'over');
const years = (wells * days) / 365.25;
for (const urgency of ['now', 'today', 'days', 'weeks'] as const) {
  const count = raised.filter((one) => one.urgency === urgency).length;
  console.log(
    `${urgency.padEnd(6)} ${count} in ${(wells * days).toFixed(0)} days of sound wells, ` +
      `${(count / years).toFixed(1)} a year`,
  );
}
