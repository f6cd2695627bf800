import { type Check, FINE, found, notJudged } from './check.ts';
import { answersOf } from './questions.ts';
import { worstRmsError } from './rms-window.ts';
import { hertz, percent, seconds } from './words.ts';

/** Error of the RMS value from its window: half of what class 1 allows at rated current. */
const WORST_WINDOW = 0.005;

/** True RMS holds the fifth harmonic: twice five times the mains frequency (common practice). */
const SAMPLES_EACH_CYCLE = 10;

/** The window of one RMS value holds whole cycles, or so many that the rest does not matter. */
export const wholeCycles: Check = ({ chain, current }) => {
  if (current === null) return FINE;
  const { mainsHz = null, windowS = null } = chain.sampling ?? {};
  if (mainsHz === null || windowS === null) {
    return notJudged('window of the RMS value', 'sampling.mains and sampling.window');
  }
  const rateHz = chain.converter?.rateHz ?? null;
  // A rate that is too low has a finding of its own; here the window alone is judged.
  const isFast = rateHz !== null && rateHz >= SAMPLES_EACH_CYCLE * mainsHz;
  const number = worstRmsError({ mainsHz, windowS, rateHz: isFast ? rateHz : null });
  const limit = WORST_WINDOW;
  if (!(number > limit)) return FINE;
  const cycles = windowS * mainsHz;
  const near = Math.max(1, Math.round(cycles));
  const says =
    `a window of ${seconds(windowS)} holds ${Number(cycles.toPrecision(4))} cycles of ` +
    `${hertz(mainsHz)}: the reading swings by up to ${percent(number)} (limit ` +
    `${percent(limit)}). Take ${near} whole ${near === 1 ? 'cycle' : 'cycles'}, ` +
    seconds(near / mainsHz);
  const rest = { channel: 'current', does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'window-not-whole-cycles', number, limit, unit: 'share', ...rest });
};

/** The converter samples the wave often enough for its harmonics. */
export const aliasing: Check = ({ chain, current }) => {
  if (current === null) return FINE;
  const mainsHz = chain.sampling?.mainsHz ?? null;
  const number = chain.converter?.rateHz ?? null;
  if (mainsHz === null || number === null) {
    return notJudged('rate of the converter', 'sampling.mains and converter.rate');
  }
  const limit = SAMPLES_EACH_CYCLE * mainsHz;
  if (number >= limit) return FINE;
  const says =
    `${hertz(number)} is ${Number((number / mainsHz).toPrecision(3))} samples a cycle of ` +
    `${hertz(mainsHz)}: the harmonics fold, true RMS needs ${hertz(limit)} or more`;
  const rest = { channel: 'current', does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'aliasing', number, limit, unit: 'Hz', ...rest });
};

/** Each question that the interval of the readings leaves open. */
export const intervals: Check = ({ chain }) => {
  const answers = answersOf(chain.sampling);
  const open = answers.filter(({ answerable }) => answerable === null);
  return {
    findings: answers.flatMap(({ question, needsS, hasS, answerable, because }) => {
      if (answerable !== false || hasS === null) return [];
      const says =
        `a reading every ${seconds(hasS)} cannot tell ${question}: it takes one every ` +
        `${seconds(needsS)} (${because})`;
      const rest = { channel: null, does: 'limits', says, cautions: [] } as const;
      const id = 'interval-too-slow';
      return [{ id, number: hasS, limit: needsS, unit: 's', ...rest } as const];
    }),
    notJudged: open.length === 0 ? [] : [`${open.length} questions: need sampling.interval`],
  };
};
