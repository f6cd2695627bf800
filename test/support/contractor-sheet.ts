import { Traces } from '../../src/cli/contractor/traces.ts';
import { contractorSheet } from '../../src/report/contractor/compose.ts';
import { type Sheet, textsOf } from '../../src/report/contractor/sheet.ts';
import { overlaidRuns, thenNow } from '../../src/report/contractor/spans.ts';
import { type RehearsedLog, studied } from './rehearsed-log.ts';

/** The page for the contractor of a rehearsed log, as `study` makes it. */
export function sheetOfLog(log: RehearsedLog, complaint: string): Sheet {
  const { well } = log;
  const study = studied(log);
  const { now, past } = overlaidRuns(study, thenNow(study, well));
  const traces = new Traces(well, now === null ? past : [...past, now]);
  traces.take({
    count: log.timeS.length,
    timeS: Float64Array.from(log.timeS),
    channel: Uint8Array.from(log.channel),
    value: Float64Array.from(log.value),
  });
  return contractorSheet({
    ...{ study, well, complaint, by: 'Keeper', made: study.span.to },
    overlaid: traces.overlaid(now),
    data: [{ name: 'log.csv', what: 'readings', sha256: 'a'.repeat(64) }],
  });
}

/** Whatever has a letter or a digit counts as a word. */
const wordsIn = (text: string): number =>
  text.split(/[\s\u00a0\u202f]+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length;

/** Words of what is to be read: all that stands before what is looked up. */
export const wordsToRead = ({ title, under, parts }: Sheet): number =>
  wordsIn([title, ...under, ...textsOf(parts)].join(' '));

/** All that stands on it, in one piece. */
export const wholeText = ({ parts, lookUp }: Sheet): string =>
  textsOf([...parts, ...lookUp]).join('\n');
