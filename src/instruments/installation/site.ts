import type { InstallationKind } from '../../model/installation.ts';
import type { Equipment, OtherTest, Quantity, Well } from '../../model/well.ts';
import { atmosphericPressurePa } from '../../physics/air/atmospheric-pressure.ts';
import { FOOT_M } from './constants.ts';
import { assumed, type Given } from './result.ts';

type QuantityKey = {
  [K in keyof Equipment]: Equipment[K] extends Quantity | null ? K : never;
}[keyof Equipment];

/** Where each quantity stands in the well file, and how it is called and shown here. */
export const FIELDS = {
  staticLevelM: { key: 'well.static_level', what: 'static level', kind: 'length' },
  casingM: { key: 'well.casing', what: 'casing inside', kind: 'diameter' },
  powerW: { key: 'pump.power', what: 'rated power', kind: 'power' },
  voltageV: { key: 'pump.voltage', what: 'rated voltage', kind: 'voltage' },
  fullLoadCurrentA: { key: 'pump.full_load_current', what: 'full-load current', kind: 'current' },
  serviceFactorCurrentA: {
    key: 'pump.service_factor_current',
    what: 'service-factor current',
    kind: 'current',
  },
  ratedFlowM3PerS: { key: 'pump.rated_flow', what: 'rated flow', kind: 'flow' },
  intakeDepthM: { key: 'pump.intake_depth', what: 'depth of the intake', kind: 'length' },
  pipeInsideDiameterM: { key: 'pipe.inside_diameter', what: 'pipe inside', kind: 'diameter' },
  pipeLengthM: { key: 'pipe.length', what: 'length of pipe', kind: 'length' },
  cableAreaM2: { key: 'cable.size', what: 'conductor', kind: 'conductor' },
  cableLengthM: { key: 'cable.length', what: 'length of cable, one way', kind: 'length' },
  tankVolumeM3: { key: 'tank.volume', what: 'volume of the tank', kind: 'volume' },
  prechargePaGauge: { key: 'tank.precharge', what: 'air charge, tank empty', kind: 'pressure' },
  tankRatedPaGauge: { key: 'tank.rated_pressure', what: 'tank rating', kind: 'pressure' },
  cutInPaGauge: { key: 'switch.cut_in', what: 'cut-in', kind: 'pressure' },
  cutOutPaGauge: { key: 'switch.cut_out', what: 'cut-out', kind: 'pressure' },
  reliefPaGauge: { key: 'relief.opens', what: 'relief valve opens', kind: 'pressure' },
} as const satisfies Record<QuantityKey, { key: string; what: string; kind: InstallationKind }>;

/** What is physically there after all services. */
export const equipmentNow = ({ equipment, services }: Well): Equipment =>
  Object.assign({}, equipment, ...services.map(({ now }) => now));

/** The well file as the checks read it: what holds now, after all services. */
export class Site {
  readonly well: Well;
  readonly equipment: Equipment;

  constructor(well: Well) {
    this.well = well;
    this.equipment = equipmentNow(well);
  }

  get(field: keyof typeof FIELDS): Given {
    const { key, what, kind } = FIELDS[field];
    const quantity = this.equipment[field];
    if (quantity === null) return { needs: [key] };
    const { value, std, source } = quantity;
    return { what, value, std, kind, origin: { from: 'file', key, source } };
  }

  /** The first field that the file holds; where it holds none, the first is what is needed. */
  firstOf(...fields: [keyof typeof FIELDS, ...(keyof typeof FIELDS)[]]): Given {
    return this.get(fields.find((field) => this.equipment[field] !== null) ?? fields[0]);
  }

  /** The last sounding of the rested well, else what the file gives. */
  restedLevel(): Given {
    const sounding = this.#lastSounding(0);
    if (sounding === undefined) return this.get('staticLevelM');
    const { levelM = Number.NaN, levelMStd = Number.NaN } = sounding.measured;
    return {
      what: 'static level',
      value: levelM,
      std: levelMStd,
      kind: 'length',
      origin: { from: 'file', key: 'sounding.level', source: 'measured' },
    };
  }

  #lastSounding(pumpRunning: 0 | 1): OtherTest | undefined {
    return this.well.otherTests
      .filter((test) => test.kind === 'sounding' && test.measured.pumpRunning === pumpRunning)
      .sort((a, b) => a.startS - b.startS)
      .at(-1);
  }

  /** The air the gauge stands in, Pa absolute. */
  air(): Given {
    const { value, std, source } = this.well.altitudeM;
    const airPa = atmosphericPressurePa(value);
    const slopePaPerM = airPa - atmosphericPressurePa(value + 1);
    const about = { what: 'air at this altitude', value: airPa, std: slopePaPerM * std };
    const kind = 'pressure';
    return source === 'guess'
      ? { ...about, kind, origin: { from: 'assumed', because: 'altitude not told' } }
      : { ...about, kind, origin: { from: 'file', key: 'altitude', source } };
  }

  /** The nameplate's greatest running current, else the one at rated load. */
  runningCurrent(): Given {
    return this.firstOf('serviceFactorCurrentA', 'fullLoadCurrentA');
  }

  /** The submersible is the house well's usual pump. */
  get isSubmersible(): boolean {
    return this.equipment.pumpKind !== 'jet';
  }

  /** Single-phase where neither phases nor motor are told. */
  get isThreePhase(): boolean {
    return this.equipment.phases === 3 || this.equipment.motor === 'three-phase';
  }

  /** The gauge at the tee above ground. */
  teeHeight(): Given {
    const std = 5 * FOOT_M;
    return assumed('tee above ground', 0, { std, kind: 'length', because: 'no key for it' });
  }
}
