import type { Equipment, Quantity } from '../model/well.ts';
import type { EquipmentPaths, EquipmentRead } from './equipment.ts';
import type { Path } from './positions.ts';
import { keyText, type Source } from './source.ts';

type QuantityKey = {
  [K in keyof Equipment]: Equipment[K] extends Quantity | null ? K : never;
}[keyof Equipment];

interface Pair {
  low: QuantityKey;
  high: QuantityKey;
  /** Whether the two may be equal. */
  mayEqual: boolean;
}

/** What cannot stand beside each other, whatever the uncertainty. */
const IMPOSSIBLE: readonly Pair[] = [
  { low: 'cutInPaGauge', high: 'cutOutPaGauge', mayEqual: false },
  { low: 'prechargePaGauge', high: 'tankRatedPaGauge', mayEqual: true },
  // Depths: the water of a rested well stands above the intake.
  { low: 'staticLevelM', high: 'intakeDepthM', mayEqual: false },
  { low: 'fullLoadCurrentA', high: 'serviceFactorCurrentA', mayEqual: true },
];

/** What can be built, and should not be: told, with who to ask. */
const UNSAFE: readonly (Pair & { because: string })[] = [
  {
    low: 'cutOutPaGauge',
    high: 'tankRatedPaGauge',
    mayEqual: true,
    because: 'the tank may be held above its rating',
  },
  {
    low: 'reliefPaGauge',
    high: 'tankRatedPaGauge',
    mayEqual: true,
    because: 'the relief valve does not protect the tank',
  },
  {
    low: 'cutOutPaGauge',
    high: 'reliefPaGauge',
    mayEqual: false,
    because: 'the relief valve opens before the switch stops the pump',
  },
];

const ASK =
  'Check the figures; if they are right, have a licensed contractor look at it. ' +
  'Local codes come first.';

/**
 * Holds one layer of equipment (of the file, or of a service on top of what held before)
 * against itself. `layer` is what is new, `state` what holds with it.
 */
export function checkEquipment(source: Source, layer: EquipmentRead, state: EquipmentRead): void {
  const isNew = (key: keyof Equipment) => layer.given[key] !== undefined;
  for (const pair of IMPOSSIBLE) {
    if (!isWrong(pair, state.given) || !(isNew(pair.low) || isNew(pair.high))) continue;
    reportPair(source, pair, { paths: state.paths, atLow: isNew(pair.low) });
  }
  for (const pair of UNSAFE) {
    if (!isWrong(pair, state.given) || !(isNew(pair.low) || isNew(pair.high))) continue;
    const [low, high] = [pathOf(state.paths, pair.low), pathOf(state.paths, pair.high)];
    const relation = pair.mayEqual ? 'is above' : 'is not below';
    source.told.push(`${keyText(low)} ${relation} ${keyText(high)}: ${pair.because}. ${ASK}`);
  }
  if (isNew('phases') || isNew('motor')) checkPhases(source, layer, state);
}

function isWrong({ low, high, mayEqual }: Pair, given: Partial<Equipment>): boolean {
  const lowValue = given[low]?.value;
  const highValue = given[high]?.value;
  if (lowValue === undefined || highValue === undefined) return false;
  return mayEqual ? lowValue > highValue : lowValue >= highValue;
}

function reportPair(
  source: Source,
  { low, high, mayEqual }: Pair,
  { paths, atLow }: { paths: EquipmentPaths; atLow: boolean },
): void {
  const path = pathOf(paths, atLow ? low : high);
  const other = pathOf(paths, atLow ? high : low);
  const side = atLow ? 'below' : 'above';
  const relation = mayEqual ? `not ${atLow ? 'above' : 'below'}` : side;
  const expected = `a value ${relation} ${keyText(other)} = ${source.written(other)}`;
  const found = source.written(path);
  source.report(path, 'value', { code: 'impossible-value', expected, found });
}

function checkPhases(source: Source, layer: EquipmentRead, state: EquipmentRead): void {
  const { phases, motor } = state.given;
  if (phases === undefined || motor === undefined || phases === null || motor === null) return;
  if ((motor === 'three-phase') === (phases === 3)) return;
  const atPhases = layer.given.phases !== undefined;
  const path = pathOf(state.paths, atPhases ? 'phases' : 'motor');
  const expected = atPhases
    ? `${motor === 'three-phase' ? 3 : 1} with the motor "${motor}"`
    : `a motor for ${phases === 3 ? 'three phases' : 'one phase'}`;
  const found = source.written(path);
  source.report(path, 'value', { code: 'impossible-value', expected, found });
}

const pathOf = (paths: EquipmentPaths, key: keyof Equipment): Path => paths[key] ?? [];
