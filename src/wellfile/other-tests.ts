import { OTHER_TESTS, type OtherTest } from '../model/well.ts';
import { KIND_IN_WORDS } from '../units/kinds.ts';
import { MEASURED_UNCERTAINTY, stdOf } from './default-uncertainty.ts';
import { type QuantitySpec, readSi } from './quantity.ts';
import { readTimes } from './records.ts';
import type { Table } from './table.ts';

type Kind = OtherTest['kind'];
type Measured = Record<string, number>;

interface MeasuredField {
  key: string;
  /** Name in `measured`; the standard uncertainty is under the same name with `Std`. */
  to: string;
  spec: QuantitySpec;
  sure: string;
  isNeeded: boolean;
}

const PRESSURE: QuantitySpec = { kind: 'pressure', least: '0 psi', most: '300 psi' };
const FLOW: QuantitySpec = { kind: 'flow', least: '0.01 gpm', most: '1000 gpm' };
const VOLUME: QuantitySpec = { kind: 'volume', least: '0.1 gal', most: '10000 gal' };
const DEPTH: QuantitySpec = { kind: 'length', least: '-100 ft', most: '3000 ft' };

/** The quantities that a test measures besides the readings (handbook tests T3, T4, T8, T10). */
const FIELDS: Partial<Record<Kind, MeasuredField>> = {
  precharge_test: {
    key: 'pressure',
    to: 'pressurePaGauge',
    spec: PRESSURE,
    sure: MEASURED_UNCERTAINTY['precharge_test.pressure'],
    isNeeded: true,
  },
  drain_test: {
    key: 'volume',
    to: 'volumeM3',
    spec: VOLUME,
    sure: MEASURED_UNCERTAINTY['drain_test.volume'],
    isNeeded: false,
  },
  recovery_test: {
    key: 'flow',
    to: 'flowM3PerS',
    spec: FLOW,
    sure: MEASURED_UNCERTAINTY['recovery_test.flow'],
    isNeeded: true,
  },
  sounding: {
    key: 'level',
    to: 'levelM',
    spec: DEPTH,
    sure: MEASURED_UNCERTAINTY['sounding.level'],
    isNeeded: true,
  },
};

/** Tests that are one look at one moment: `stop` may be left out. */
const MOMENTS: readonly Kind[] = ['precharge_test', 'sounding'];

export function readOtherTests(root: Table): OtherTest[] {
  return OTHER_TESTS.flatMap((kind) =>
    root.records(kind).flatMap((table) => readOne(table, kind) ?? []),
  );
}

function readOne(table: Table, kind: Kind): OtherTest | null {
  const times = readTimes(table, MOMENTS.includes(kind));
  const field = FIELDS[kind];
  const measured: Measured = {};
  const isRead =
    (field === undefined || readField(table, field, measured)) &&
    (kind !== 'isolation_test' || readWord(table, HOUSE_VALVE, measured)) &&
    (kind !== 'sounding' || readWord(table, PUMP, measured));
  const points = kind === 'throttle_test' ? readThrottle(table) : undefined;
  table.close();
  if (times === null || !isRead || points === null) return null;
  return { kind, ...times, measured, ...(points && { points }) };
}

function readField(table: Table, field: MeasuredField, measured: Measured): boolean {
  const { key, to, spec, sure, isNeeded } = field;
  const cell = isNeeded
    ? table.need(key, `${KIND_IN_WORDS[spec.kind]}, measured`)
    : table.cell(key);
  if (cell === null || !cell.isThere) return !isNeeded;
  const value = readSi(cell, spec);
  if (value === null) return false;
  measured[to] = value;
  measured[`${to}Std`] = stdOf(sure, { value, kind: spec.kind });
  return true;
}

/** A state that a test must tell, kept as 1 for the first word and 0 for the second. */
interface StateWord {
  key: string;
  to: string;
  words: readonly [string, string];
  isNeeded: boolean;
}

const HOUSE_VALVE: StateWord = {
  key: 'house_valve',
  to: 'houseValveShut',
  words: ['shut', 'open'],
  isNeeded: true,
};

/** A sounding is of the rested well unless told otherwise. */
const PUMP: StateWord = {
  key: 'pump',
  to: 'pumpRunning',
  words: ['running', 'resting'],
  isNeeded: false,
};

function readWord(table: Table, state: StateWord, measured: Measured): boolean {
  const { key, to, words, isNeeded } = state;
  if (isNeeded && table.need(key, `"${words[0]}" or "${words[1]}"`) === null) return false;
  const word = table.choice(key, words);
  measured[to] = word === words[0] ? 1 : 0;
  return word !== null || !table.cell(key).isThere;
}

/** Steady points of pressure and flow, the flow from a bucket and a watch. */
function readThrottle(table: Table): NonNullable<OtherTest['points']> | null {
  const expected = 'pressure and flow such as ["40 psi", "9.5 gpm"]';
  const list = table.need('points', `a list of ${expected}`);
  const items = list?.items(`a list of ${expected}`) ?? null;
  if (items?.length === 0) return list?.impossible('at least one point') ?? null;
  if (items === null) return null;
  return items.flatMap((item) => {
    const [pressure, flow] = item.items(expected, 2, 2) ?? [];
    const pressurePaGauge = pressure ? readSi(pressure, PRESSURE) : null;
    const flowM3PerS = flow ? readSi(flow, FLOW) : null;
    return pressurePaGauge === null || flowM3PerS === null
      ? []
      : [withStd(pressurePaGauge, flowM3PerS)];
  });
}

function withStd(pressurePaGauge: number, flowM3PerS: number) {
  const pressure = { value: pressurePaGauge, kind: 'pressure' } as const;
  const flow = { value: flowM3PerS, kind: 'flow' } as const;
  return {
    pressurePaGauge,
    pressurePaGaugeStd: stdOf(MEASURED_UNCERTAINTY['throttle_test.points (pressure)'], pressure),
    flowM3PerS,
    flowM3PerSStd: stdOf(MEASURED_UNCERTAINTY['throttle_test.points (flow)'], flow),
  };
}
