import type { InstallationResult } from '../../model/installation.ts';
import { typicalPowerFactor } from '../../physics/electrics/typical-power-factor.ts';
import { energyPerVolumeJPerM3 } from '../../physics/energy/energy-per-volume.ts';
import { energyPerVolumeFloorJPerM3 } from '../../physics/energy/energy-per-volume-floor.ts';
import { GALLON_M3, KILOWATT_HOUR_J } from '../../units/table.ts';
import { FOOT_M } from './constants.ts';
import { assumed, fromResult, type Given, worked } from './result.ts';
import type { Site } from './site.ts';

export function energyChecks(
  site: Site,
  { flow, total }: { flow: InstallationResult; total: InstallationResult },
): InstallationResult[] {
  const floor = energyFloor(total);
  const energy = energyPerVolume(site, { flow, floor });
  return [energy, floor, wireToWater(energy, floor)];
}

/** Shown energy per volume of one metre or foot of lift. */
const PER_HEAD = {
  us: ((energyPerVolumeFloorJPerM3(FOOT_M) * 1000 * GALLON_M3) / KILOWATT_HOUR_J).toFixed(6),
  si: (energyPerVolumeFloorJPerM3(1) / KILOWATT_HOUR_J).toFixed(7),
};

function energyFloor(total: InstallationResult): InstallationResult {
  return worked({
    id: 'energy-floor',
    title: 'The least that physics allows',
    formula: { us: `E0 = ${PER_HEAD.us} * H`, si: `E0 = ${PER_HEAD.si} * H` },
    source: 'Weight of the water times its lift; Crane TP-410, water horsepower.',
    kind: 'energy-per-volume',
    inputs: { H: fromResult(total) },
    value: ({ H }) => energyPerVolumeFloorJPerM3(H),
    says: { good: 'Measured energy below this proves a figure wrong.' },
    acts: [],
  });
}

function powerFactor(site: Site): Given {
  const power = site.get('powerW');
  if ('needs' in power) return power;
  const isThree = site.isThreePhase;
  const isCapacitorRun = site.equipment.motor === '3-wire capacitor-run';
  const value = isThree ? 0.85 : typicalPowerFactor(power.value, isCapacitorRun);
  return assumed('power factor at full load', value, {
    std: 0.05,
    kind: 'number',
    because: `typical ${isThree ? 'three-phase' : 'single-phase'} motor of this size, from memory`,
  });
}

function energyPerVolume(
  site: Site,
  { flow, floor }: { flow: InstallationResult; floor: InstallationResult },
): InstallationResult {
  const isThree = site.isThreePhase;
  const limit =
    floor.value === null
      ? null
      : {
          least: { value: floor.value },
          most: null,
          rule: 'not below the least that physics allows',
          source: 'conservation of energy',
        };
  return worked({
    id: 'energy-per-volume',
    title: 'Energy per volume',
    formula: 'E = c * U * I * f / (60 * Q)',
    source: 'Electric power over delivery; power factor of a typical motor.',
    kind: 'energy-per-volume',
    inputs: {
      c: assumed('share of three phases', isThree ? Math.sqrt(3) : 1, {
        std: 0,
        kind: 'number',
        because: isThree ? 'three-phase: sqrt(3)' : 'single-phase',
      }),
      U: site.get('voltageV'),
      I: site.runningCurrent(),
      f: powerFactor(site),
      Q: fromResult(flow),
    },
    value: ({ c, U, I, f, Q }) => energyPerVolumeJPerM3(c * U * I * f, Q),
    limit,
    says: {
      good: (value) => costOf(site, value),
      bad: 'Below what physics allows: a nameplate figure, the level or the curve is not right.',
    },
    acts: [],
  });
}

/** What the water costs, in words. */
function costOf(site: Site, energyJPerM3: number): string {
  const { energyPrice, units } = site.well;
  const about = 'With the nameplate current, so rather high';
  if (energyPrice === null) return `${about}; energy.price would give the cost.`;
  const [volumeM3, what] = units === 'us' ? [1000 * GALLON_M3, '1000 gal'] : [1, '1 m3'];
  const cost = Number((energyJPerM3 * energyPrice.perJ * volumeM3).toPrecision(2));
  return `${about}: some ${cost} ${energyPrice.currency} for ${what}.`;
}

function wireToWater(energy: InstallationResult, floor: InstallationResult): InstallationResult {
  return worked({
    id: 'wire-to-water',
    title: 'Efficiency, wire to water',
    formula: 'n = 100 * E0 / E',
    source: 'The two energies above.',
    kind: 'fraction',
    inputs: { E0: fromResult(floor), E: fromResult(energy) },
    value: ({ E0, E }) => E0 / E,
    says: { good: 'Small submersibles make 25 to 43 % at their rated flow (from memory).' },
    acts: [],
  });
}
