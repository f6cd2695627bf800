import { AT_TRANSDUCER, AT_TRANSFORMER, type Check, FINE, found, notJudged } from './check.ts';
import { RUN_KEYS } from './lacks.ts';
import { sagReads } from './signal.ts';
import { Assumptions } from './told.ts';
import { amps, ohms, percent, pressure, volts } from './words.ts';

/**
 * Below a fifth of the rated current the limits of a class begin to widen (IEC 61869-2, Table
 * 201: class 1 allows 1.5 % at 20 %, 3 % at 5 %).
 */
const LEAST_LOAD = 0.2;

/** A sag that moves the reading by more than twice its noise is seen as pressure. */
const SAG_OVER_NOISE = 2;

/** A current output has a burden, and one with its own has no second. */
export const burdenIsThere: Check = ({ current, context }) => {
  if (current === null) return FINE;
  const { output, burdenOhm, rangeA } = current.transformer;
  if (output === null) return notJudged('burden', 'current.output');
  const rest = { channel: 'current', cautions: AT_TRANSFORMER } as const;
  if (output.unit === 'V' && burdenOhm !== null) {
    const says =
      `the transformer has its burden built in; ${ohms(burdenOhm)} beside it makes it read too ` +
      'low. Leave it out, or tell a current output';
    const number = { number: burdenOhm, limit: Number.POSITIVE_INFINITY, unit: 'ohm' } as const;
    return found({ id: 'burden-twice', does: 'misleads', says, ...number, ...rest });
  }
  if (output.unit === 'V' || burdenOhm !== null) return FINE;
  const load = context.runA === null || rangeA === null ? null : context.runA / rangeA;
  const secondaryA = (load ?? 1) * output.rms;
  const at = load === null ? 'at the rated current' : 'at the running current';
  const says =
    `the output is a current (${amps(secondaryA)} ${at}) and no burden is told: open, its ` +
    'voltage can kill and destroy what hangs on it';
  const number = { number: secondaryA, limit: 0, unit: 'A' } as const;
  return found({ id: 'no-burden', does: 'destroys', says, ...number, ...rest });
};

/** The burden asks no more voltage of the core than the maker's limit at rated current. */
export const burdenSaturates: Check = ({ current }) => {
  if (current === null) return FINE;
  const { output, burdenOhm, burdenLimitOhm, rangeA } = current.transformer;
  if (output?.unit !== 'A' || burdenOhm === null || rangeA === null) return FINE;
  if (burdenLimitOhm === null) return notJudged('saturation by the burden', 'current.burden_limit');
  const limit = output.rms * burdenLimitOhm;
  const at = [current.run, current.inrush].find(
    (wave) => wave !== null && (wave.currentA / rangeA) * output.rms * burdenOhm > limit,
  );
  if (!at) return FINE;
  const number = (at.currentA / rangeA) * output.rms * burdenOhm;
  const says =
    `at ${amps(at.currentA)} the burden of ${ohms(burdenOhm)} asks for ${volts(number)}, the ` +
    `core gives ${volts(limit)}: it saturates and reads too low. Use a smaller burden`;
  const does = at === current.run ? 'misleads' : 'limits';
  const rest = { channel: 'current', does, says, cautions: AT_TRANSFORMER } as const;
  return found({ id: 'burden-saturates', number, limit, unit: 'V', ...rest });
};

/** The running current is a fair share of the transformer's range. */
export const transformerSize: Check = ({ current, context }) => {
  const rangeA = current?.transformer.rangeA ?? null;
  if (current === null) return FINE;
  if (rangeA === null) return notJudged('size of the transformer', 'current.range');
  if (context.runA === null) return notJudged('size of the transformer', RUN_KEYS);
  const number = context.runA / rangeA;
  if (number >= LEAST_LOAD) return FINE;
  const says =
    `the motor takes ${amps(context.runA)}, ${percent(number)} of the ${amps(rangeA)} of the ` +
    `transformer: below ${percent(LEAST_LOAD)} its error grows. Use one of ` +
    `${amps(context.runA / LEAST_LOAD)} or less`;
  const rest = { channel: 'current', does: 'limits', says, cautions: AT_TRANSFORMER } as const;
  const limit = LEAST_LOAD;
  return found({ id: 'transformer-far-too-large', number, limit, unit: 'share', ...rest });
};

/** The transducer reads as far as the relief valve lets the pressure rise. */
export const transducerRange: Check = ({ pressure: line, context }) => {
  if (line === null) return FINE;
  const number = line.transducer.rangePaGauge;
  const limit = context.reliefPaGauge;
  if (number === null) return notJudged('range of the transducer', 'pressure.range');
  if (limit === null) return notJudged('range of the transducer', 'relief.opens');
  if (number >= limit) return FINE;
  const says =
    `the transducer ends at ${pressure(number, context.units)}, the relief valve opens at ` +
    `${pressure(limit, context.units)}: a pressure on its way there is not seen, and can damage ` +
    'the transducer';
  const rest = { channel: 'pressure', does: 'destroys', says, cautions: AT_TRANSDUCER } as const;
  return found({ id: 'transducer-below-relief', number, limit, unit: 'Pa', ...rest });
};

/** Sensor and converter measure against the same supply, or neither does. */
export const supplySag: Check = (resolved) => {
  const { pressure: line, chain, context } = resolved;
  if (line === null) return FINE;
  const reads = sagReads(chain);
  if (reads === null) {
    return notJudged('sag of the supply', 'pressure.ratiometric and converter.reference');
  }
  if (!reads || line.signal === null) return FINE;
  const assumed = new Assumptions();
  const sag = assumed.of(line.transducer.sagShare, 'sag').value;
  const limit = SAG_OVER_NOISE * assumed.of(line.transducer.noisePa, 'pressureNoisePa').value;
  const at = context.cutOutPaGauge ?? line.transducer.rangePaGauge ?? Number.NaN;
  const number = sag * (at + line.signal.atZeroV / line.signal.voltPerPa);
  if (number <= limit) return FINE;
  const { units } = context;
  const says =
    `a sag of the supply by ${percent(sag)} reads as ${pressure(number, units)} at ` +
    `${pressure(at, units)}, more than the ${pressure(limit, units)} that noise hides: read ` +
    'sensor and converter against the same supply, or read the supply too and divide by it';
  const rest = { channel: 'pressure', does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'supply-sag-reads-as-pressure', number, limit, unit: 'Pa', ...rest });
};

/** One ground for sensor, converter and controller. */
export const commonGround: Check = ({ chain }) => {
  if (chain.commonGround === null) return notJudged('ground', 'wiring.common_ground');
  if (chain.commonGround) return FINE;
  const says =
    'sensor, converter and controller have no common ground (0 of 1): the inputs float, and ' +
    'readings with them. Join the grounds of the low-voltage side at one place, never with ' +
    'a conductor of the mains';
  const rest = { channel: null, does: 'misleads', says, cautions: AT_TRANSFORMER } as const;
  return found({ id: 'no-common-ground', number: 0, limit: 1, unit: 'yes/no', ...rest });
};
