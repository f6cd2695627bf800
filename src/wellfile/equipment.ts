import type { Equipment, Quantity } from '../model/well.ts';
import type { UncertainKey } from './default-uncertainty.ts';
import type { Path } from './positions.ts';
import { type QuantitySpec, readQuantity, readSi } from './quantity.ts';
import type { Cell } from './source.ts';
import type { Table } from './table.ts';

type KeysOf<T> = { [K in keyof Equipment]: Equipment[K] extends T ? K : never }[keyof Equipment];
type QuantityKey = KeysOf<Quantity | null>;
type EquipmentUncertainKey = Exclude<UncertainKey, 'altitude'>;

/** Every quantity of the equipment by its key in the file; bounds are generous. */
export const QUANTITIES: Record<EquipmentUncertainKey, QuantitySpec & { to: QuantityKey }> = {
  // Below zero: the water of a flowing well stands above ground.
  'well.static_level': { to: 'staticLevelM', kind: 'length', least: '-100 ft', most: '3000 ft' },
  'well.casing': { to: 'casingM', kind: 'length', least: '0.75 in', most: '120 in' },
  'pump.power': { to: 'powerW', kind: 'power', least: '0.05 hp', most: '100 hp' },
  'pump.voltage': { to: 'voltageV', kind: 'voltage', least: '10 V', most: '1000 V' },
  'pump.full_load_current': {
    to: 'fullLoadCurrentA',
    kind: 'current',
    least: '0.1 A',
    most: '500 A',
  },
  'pump.service_factor_current': {
    to: 'serviceFactorCurrentA',
    kind: 'current',
    least: '0.1 A',
    most: '500 A',
  },
  'pump.rated_flow': { to: 'ratedFlowM3PerS', kind: 'flow', least: '0.1 gpm', most: '1000 gpm' },
  'pump.intake_depth': { to: 'intakeDepthM', kind: 'length', least: '0 ft', most: '3000 ft' },
  'pipe.inside_diameter': {
    to: 'pipeInsideDiameterM',
    kind: 'length',
    least: '0.2 in',
    most: '12 in',
  },
  'pipe.length': { to: 'pipeLengthM', kind: 'length', least: '1 ft', most: '10000 ft' },
  'cable.size': {
    to: 'cableAreaM2',
    kind: 'area-of-conductor',
    least: '20 AWG',
    most: '500 kcmil',
  },
  'cable.length': { to: 'cableLengthM', kind: 'length', least: '1 ft', most: '10000 ft' },
  'tank.volume': { to: 'tankVolumeM3', kind: 'volume', least: '0.5 gal', most: '10000 gal' },
  'tank.precharge': { to: 'prechargePaGauge', kind: 'pressure', least: '0 psi', most: '150 psi' },
  'tank.rated_pressure': {
    to: 'tankRatedPaGauge',
    kind: 'pressure',
    least: '10 psi',
    most: '300 psi',
  },
  'switch.cut_in': { to: 'cutInPaGauge', kind: 'pressure', least: '1 psi', most: '150 psi' },
  'switch.cut_out': { to: 'cutOutPaGauge', kind: 'pressure', least: '2 psi', most: '200 psi' },
  'relief.opens': { to: 'reliefPaGauge', kind: 'pressure', least: '5 psi', most: '300 psi' },
};

const FLOW: QuantitySpec = { kind: 'flow', least: '0 gpm', most: '2000 gpm' };
const HEAD: QuantitySpec = { kind: 'head', least: '0 ft', most: '5000 ft' };

export type EquipmentPaths = Partial<Record<keyof Equipment, Path>>;

export interface EquipmentRead {
  /** Only what the file gives. */
  given: Partial<Equipment>;
  /** Where it stands. */
  paths: EquipmentPaths;
}

/** Reads the equipment tables under `root`: of the file, or of a service's `now`. */
export function readEquipment(root: Table): EquipmentRead {
  const read: EquipmentRead = { given: {}, paths: {} };
  const sections = new Map<string, Table>();
  for (const [name, { to, ...spec }] of Object.entries(QUANTITIES)) {
    const [section, key] = name.split('.') as [string, string];
    const table = sections.get(section) ?? root.section(section);
    sections.set(section, table);
    const cell = table.cell(key);
    put(read, to, cell, readQuantity(cell, name as EquipmentUncertainKey, spec));
  }
  const pump = sections.get('pump')!;
  const pipe = sections.get('pipe')!;
  put(read, 'pumpKind', pump.cell('kind'), pump.choice('kind', ['submersible', 'jet']));
  put(read, 'motor', pump.cell('motor'), pump.choice('motor', MOTORS));
  put(read, 'phases', pump.cell('phases'), readPhases(pump.cell('phases')));
  put(read, 'curve', pump.cell('curve'), readCurve(pump.cell('curve')));
  put(read, 'pipeMaterial', pipe.cell('material'), pipe.choice('material', MATERIALS));
  for (const table of sections.values()) table.close();
  return read;
}

const MOTORS = ['2-wire', '3-wire', '3-wire capacitor-run', 'three-phase'] as const;
const MATERIALS = ['plastic', 'steel', 'copper'] as const;

function put<K extends keyof Equipment>(
  { given, paths }: EquipmentRead,
  to: K,
  cell: Cell,
  value: Equipment[K],
): void {
  if (value === null) return;
  given[to] = value;
  paths[to] = cell.path;
}

function readPhases(cell: Cell): 1 | 3 | null {
  const { given } = cell;
  if (given === undefined || given === 1 || given === 3) return given ?? null;
  return typeof given === 'number'
    ? cell.impossible('1 or 3')
    : cell.wrongType('the number 1 or 3');
}

type Curve = NonNullable<Equipment['curve']>;

/** The maker's curve: at least two points, flow rising and head falling from each to the next. */
function readCurve(cell: Cell): Curve | null {
  if (!cell.isThere) return null;
  const expected = 'pairs of flow and head such as ["10 gpm", "308 ft"]';
  const items = cell.items(`a list of ${expected}`);
  if (items === null) return null;
  if (items.length < 2) return cell.impossible('at least two points');
  const points: Curve = [];
  for (const item of items) {
    const [flow, head] = item.items(expected, 2, 2) ?? [];
    const flowM3PerS = flow ? readSi(flow, FLOW) : null;
    const headM = head ? readSi(head, HEAD) : null;
    if (flowM3PerS === null || headM === null) continue;
    const last = points.at(-1);
    points.push({ flowM3PerS, headM });
    if (last && (flowM3PerS <= last.flowM3PerS || headM >= last.headM)) {
      item.impossible('more flow and less head than the point before');
    }
  }
  return points.length === items.length ? points : null;
}
