import type { InstallationKind } from '../model/installation.ts';
import type { Equipment, Quantity, SourceMark } from '../model/well.ts';
import { shownEstimate } from './installation-figures.ts';

type QuantityKey = {
  [K in keyof Equipment]: Equipment[K] extends Quantity | null ? K : never;
}[keyof Equipment];

/** What each quantity of the equipment is called, where it stands in the file, and its kind. */
export const EQUIPMENT: Record<QuantityKey, { name: string; key: string; kind: InstallationKind }> =
  {
    staticLevelM: { name: 'static level', key: 'well.static_level', kind: 'length' },
    casingM: { name: 'casing', key: 'well.casing', kind: 'diameter' },
    powerW: { name: 'pump power', key: 'pump.power', kind: 'power' },
    voltageV: { name: 'pump voltage', key: 'pump.voltage', kind: 'voltage' },
    fullLoadCurrentA: {
      ...{ name: 'full-load current', key: 'pump.full_load_current', kind: 'current' },
    },
    serviceFactorCurrentA: {
      ...{ name: 'service-factor current', key: 'pump.service_factor_current', kind: 'current' },
    },
    ratedFlowM3PerS: { name: 'rated flow', key: 'pump.rated_flow', kind: 'flow' },
    intakeDepthM: { name: 'pump intake', key: 'pump.intake_depth', kind: 'length' },
    pipeInsideDiameterM: { name: 'drop pipe', key: 'pipe.inside_diameter', kind: 'diameter' },
    pipeLengthM: { name: 'pipe length', key: 'pipe.length', kind: 'length' },
    cableAreaM2: { name: 'cable', key: 'cable.size', kind: 'conductor' },
    cableLengthM: { name: 'cable length', key: 'cable.length', kind: 'length' },
    tankVolumeM3: { name: 'tank', key: 'tank.volume', kind: 'volume' },
    prechargePaGauge: { name: 'precharge', key: 'tank.precharge', kind: 'pressure' },
    tankRatedPaGauge: { name: 'tank rated for', key: 'tank.rated_pressure', kind: 'pressure' },
    cutInPaGauge: { name: 'cut-in set', key: 'switch.cut_in', kind: 'pressure' },
    cutOutPaGauge: { name: 'cut-out set', key: 'switch.cut_out', kind: 'pressure' },
    reliefPaGauge: { name: 'relief valve opens', key: 'relief.opens', kind: 'pressure' },
  };

const SOURCES: Record<SourceMark, string> = {
  measured: 'measured',
  nameplate: 'nameplate',
  'drillers-log': "driller's log",
  guess: 'guess',
};

export interface EquipmentRow {
  name: string;
  /** With its uncertainty; null where it is not known. */
  value: string | null;
  source: string;
}

/** Every quantity, in the order of the well file; those not known as null where all are asked. */
export function equipmentRows(equipment: Partial<Equipment>, system: 'us' | 'si'): EquipmentRow[] {
  return Object.entries(EQUIPMENT).flatMap(([to, { name, kind }]): EquipmentRow[] => {
    const quantity = equipment[to as QuantityKey];
    if (quantity === undefined) return [];
    if (quantity === null) return [{ name, value: null, source: '' }];
    const { value, std, source } = quantity;
    return [{ name, value: shownEstimate({ value, std, kind }, system), source: SOURCES[source] }];
  });
}
