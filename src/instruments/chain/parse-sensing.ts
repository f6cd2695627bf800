import { SensingTable, type Spec } from './sensing-table.ts';
import type {
  AccuracyClass,
  Bus,
  Converter,
  Divider,
  Sampling,
  SensingIssue,
  SensingRead,
  Transducer,
  Transformer,
} from './types.ts';

const spec = (kind: Spec['kind'], least: string, most: string): Spec => ({ kind, least, most });

const VOLTS = spec('voltage', '0 V', '60 V');
const SOME_VOLTS = spec('voltage', '1 mV', '60 V');
const SHARE = spec('fraction', '0 %', '50 %');
const OHMS = spec('resistance', '0.01 ohm', '100 Mohm');
const RATE = spec('frequency', '0.1 Hz', '10000000 Hz');
const INTERVAL = spec('time', '1 ms', '1 day');
const TWO = { least: 2, most: 2 };

const CLASSES: readonly AccuracyClass[] = ['0.2', '0.5', '0.5S', '1', '3', '5'];

/**
 * Reads `[sensing]` of a well file, as written, into SI. Every key may be left out. All that is
 * wrong is listed: a key that is not known with the nearest known one, a missing unit, a unit of
 * the wrong kind, a value that cannot be.
 */
export function parseSensing(sensing: Record<string, unknown>): SensingRead {
  const issues: SensingIssue[] = [];
  const root = new SensingTable(sensing, 'sensing', issues);
  const chain = {
    pressure: when(root.section('pressure'), readTransducer),
    current: when(root.section('current'), readTransformer),
    converter: when(root.section('converter'), readConverter),
    bus: when(root.section('bus'), readBus),
    commonGround: when(root.section('wiring'), (wiring) => wiring.flag('common_ground')),
    sampling: when(root.section('sampling'), readSampling),
  };
  // A note of the keeper's: nothing of the check depends on it.
  const fitted = root.raw('fitted');
  if (fitted !== undefined && typeof fitted !== 'string') root.wrong('fitted', 'a date');
  root.close();
  for (const channel of ['pressure', 'current'] as const) {
    const gainV = chain[channel]?.gainV ?? null;
    const ranges = chain.converter?.rangesV ?? [];
    if (gainV === null || ranges.some((range) => Math.abs(range - gainV) < 1e-6 * range)) continue;
    const list = ranges.map((range) => `"${range} V"`).join(', ');
    const expected = list === '' ? 'converter.range to be told with it' : `one of ${list}`;
    issues.push({ key: `sensing.${channel}.gain`, expected, found: `"${gainV} V"` });
  }
  return issues.length > 0 ? { ok: false, chain: null, issues } : { ok: true, chain, issues: [] };
}

/** Null where the table is not there. */
function when<Read>(table: SensingTable, read: (table: SensingTable) => Read): Read | null {
  const made = read(table);
  table.close();
  return table.isThere ? made : null;
}

function readTransducer(table: SensingTable): Transducer {
  const output = table.quantities('output', VOLTS, TWO);
  if (output !== null && output[0]! >= output[1]!) {
    table.wrong('output', 'a rising output such as ["0.5 V", "4.5 V"]');
  }
  return {
    rangePaGauge: table.quantity('range', spec('pressure', '1 psi', '5000 psi')),
    outputV: output && { zero: output[0]!, full: output[1]! },
    supplyV: table.quantity('supply', SOME_VOLTS),
    ratiometric: table.flag('ratiometric'),
    sagShare: table.quantity('supply_sag', SHARE),
    accuracyShare: table.quantity('accuracy', SHARE),
    temperatureSharePerK: table.quantity('temperature_error_per_kelvin', SHARE),
    temperatureSwingK: table.quantity(
      'temperature_swing',
      spec('temperature-difference', '0 K', '100 K'),
    ),
    driftSharePerYear: table.quantity('drift_per_year', SHARE),
    noisePa: table.quantity('noise', spec('pressure', '0 Pa', '100 psi')),
    divider: readDivider(table),
    gainV: table.quantity('gain', SOME_VOLTS),
  };
}

function readTransformer(table: SensingTable): Transformer {
  return {
    rangeA: table.quantity('range', spec('current', '0.1 A', '5000 A')),
    output: readOutput(table),
    burdenOhm: table.quantity('burden', OHMS),
    burdenLimitOhm: table.quantity('burden_limit', OHMS),
    accuracyClass: table.choice('class', CLASSES),
    accuracyShare: table.quantity('accuracy', SHARE),
    noiseA: table.quantity('noise', spec('current', '0 A', '100 A')),
    biasV: table.quantity('bias', VOLTS),
    differential: table.flag('differential') ?? false,
    divider: readDivider(table),
    gainV: table.quantity('gain', SOME_VOLTS),
  };
}

/** Output at the rated current: a voltage of one with its own burden, or a current. */
function readOutput(table: SensingTable): Transformer['output'] {
  const given = table.raw('output');
  if (given === undefined) return null;
  const isCurrent = typeof given === 'string' && /A$/.test(given.trim());
  const rms = isCurrent
    ? table.quantity('output', spec('current', '0.1 mA', '20 A'))
    : table.quantity('output', SOME_VOLTS);
  return rms === null ? null : { unit: isCurrent ? 'A' : 'V', rms };
}

function readDivider(table: SensingTable): Divider | null {
  const ohms = table.quantities('divider', OHMS, TWO);
  const toleranceShare = table.quantity('divider_tolerance', SHARE);
  if (ohms === null) return null;
  // 1 % is the usual resistor: common practice.
  return { seriesOhm: ohms[0]!, groundOhm: ohms[1]!, toleranceShare: toleranceShare ?? 0.01 };
}

function readConverter(table: SensingTable): Converter {
  const ranges = table.quantities('range', SOME_VOLTS, { least: 1, most: 32 });
  return {
    bits: table.whole('bits', 4, 32),
    rangesV: (ranges ?? []).toSorted((a, b) => a - b),
    signed: table.flag('signed') ?? false,
    rateHz: table.quantity('rate', RATE),
    supplyV: table.quantity('supply', SOME_VOLTS),
    reference: table.choice('reference', ['absolute', 'supply']),
    beyondV: table.quantity('beyond', VOLTS),
    accuracyShare: table.quantity('accuracy', SHARE),
  };
}

function readBus(table: SensingTable): Bus {
  return {
    logicV: table.quantity('logic', SOME_VOLTS),
    pinsBearV: table.quantity('pins_bear', SOME_VOLTS),
    pullUpOhm: table.quantity('pull_ups', OHMS),
    pulledToV: table.quantity('pulled_to', SOME_VOLTS),
    speedHz: table.quantity('speed', spec('frequency', '1 kHz', '1000 kHz')),
    wireM: table.quantity('wire', spec('length', '0 m', '100 m')),
  };
}

function readSampling(table: SensingTable): Sampling {
  return {
    mainsHz: table.quantity('mains', spec('frequency', '40 Hz', '70 Hz')),
    windowS: table.quantity('window', spec('time', '0.1 ms', '60 s')),
    intervalS: table.quantity('interval', INTERVAL),
    runningIntervalS: table.quantity('while_running', INTERVAL),
    startTime: table.flag('start_time') ?? false,
    currentPeak: table.flag('current_peak') ?? false,
  };
}
