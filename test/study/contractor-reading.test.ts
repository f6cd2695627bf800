import { describe, expect, it } from 'vitest';
import { sheetPdf } from '../../src/paper/pdf.ts';
import type { Sheet } from '../../src/report/contractor/sheet.ts';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { sheetOfLog, wholeText, wordsToRead } from '../support/contractor-sheet.ts';
import { type Asked, rehearsedLog } from '../support/rehearsed-log.ts';

/**
 * Silent reading of English non-fiction, mean of adults: Brysbaert (2019), How many words do we
 * read per minute?, Journal of Memory and Language 109, 104047, abstract.
 */
const WORDS_PER_MINUTE = 238;
const MINUTES = 2;

const COMPLAINT =
  'The pump starts every few minutes since last week, also at night, and the shower pulses.';
const fault = (name: RehearsedFault, onsetDay: number, growthDays = 0.5) => ({
  ...{ name, onsetDay, growthDays },
});

const WELLS: Record<string, Asked> = {
  sound: { letter: 'F', days: 6, seed: 21, bucketDays: [1] },
  waterlogged: { letter: 'C', days: 6, seed: 61, faults: [fault('tank-waterlogged', 4)] },
  'a valve that leaks': { letter: 'G', days: 6, seed: 22, faults: [fault('check-valve-leak', 4)] },
  'running dry': { letter: 'F', days: 6, seed: 23, faults: [fault('running-dry', 4)] },
  'much at once, with tests': {
    ...{ letter: 'H', days: 7, seed: 25, bucketDays: [1] },
    faults: [
      ...[fault('precharge-low', 3), fault('leak-house', 3), fault('pump-worn', 4, 1)],
      fault('relief-lifting', 4),
    ],
    tests: [
      // With a pump that never rests only the last of them could be made.
      ['drain_test', 1.5],
      ['isolation_test', 2],
      ['throttle_test', 2.5],
      ['precharge_test', 6],
    ],
  },
};

/** Each is rehearsed and studied once. */
const made = new Map<string, Sheet>();
function sheetOf(name: string): Sheet {
  const sheet =
    made.get(name) ?? sheetOfLog(rehearsedLog({ restS: 60, ...WELLS[name]! }), COMPLAINT);
  made.set(name, sheet);
  return sheet;
}

describe('the page for the contractor', () => {
  it.each(Object.keys(WELLS))('is read in two minutes: %s', async (name) => {
    const sheet = sheetOf(name);
    const words = wordsToRead(sheet);
    expect(words / WORDS_PER_MINUTE).toBeLessThanOrEqual(MINUTES);
    expect(words).toBeGreaterThan(150);
    const pdf = await sheetPdf(sheet);
    expect([...pdf.toString('latin1').matchAll(/\/Type \/Page\b/g)]).toHaveLength(2);
  });

  it('says what tests speak against, and has the rest of each to look up', () => {
    const sheet = sheetOf('much at once, with tests');
    const text = wholeText(sheet);
    for (const test of ['drain', 'isolation', 'throttle', 'precharge'])
      expect(text).toMatch(new RegExp(`^\\S+ \\S+ ${test} test: `, 'm'));
    expect(text).toMatch(/^The \w+ test speaks against: /m);
    for (const title of [
      ...['Now against then', 'Evidence in full', 'Tests in full', 'What is there'],
      ...['Sensors and record', 'Cautions in full', 'Data'],
    ])
      expect(sheet.lookUp.map((part) => part.title)).toContain(title);
    expect(text).toMatch(/It speaks [\d,]+\s:\s1 for this against a sound well/);
  });
});
