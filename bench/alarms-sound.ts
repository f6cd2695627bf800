/**
 * What the keeper of a sound well is told: every alarm is one too many, but for heavy use that is
 * heavy use. docs/alarms.md says what the figures mean.
 *
 *   node bench/alarms-sound.ts [--letters ABCDEHJ] [--days 20]
 */
import { parseArgs } from 'node:util';
import type { Notice } from '../src/model/alarm.ts';
import { rehearsedLog } from '../test/support/rehearsed-log.ts';
import { SimulatedService } from './support/simulated-service.ts';

const { values } = parseArgs({
  options: {
    letters: { type: 'string', default: 'ABCDEHJ' },
    days: { type: 'string', default: '20' },
  },
});
const LETTERS = 'ABCDEHJ';
/** The service looks this often: what stands for less is not told, but for what cannot wait, s. */
const STEP_S = 120;

/** All notices of one sound well with a device and network as people have them. */
async function toldOf(letter: string, days: number): Promise<Notice[]> {
  const seed = 23 + LETTERS.indexOf(letter);
  const bucketDays = [2];
  const log = rehearsedLog({ letter, days, seed, restS: 30, messy: true, bucketDays });
  const told: Notice[] = [];
  const service = await SimulatedService.open({
    well: log.well,
    alarms: { settings: { receivers: [], heartbeat: null, push: null }, folder: '.' },
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

const letters = [...values.letters];
const days = Number(values.days);
const wells = letters.length;
const all: Notice[] = [];
for (const letter of letters) {
  const told = await toldOf(letter, days);
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
