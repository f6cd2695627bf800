import type { Equipment, Quantity } from '../../model/well.ts';
import { PSI_PA } from '../../units/table.ts';
import { relativeStd } from '../estimation/delivery.ts';
import { plateAmps } from '../estimation/plate-amps.ts';
import type { Delivery } from '../estimation/run-balance.ts';
import type { Known } from '../estimation/state.ts';
import type { Measure } from './measures.ts';

/** What a measure should be on a sound well of this equipment, before this well was ever seen. */
export interface Expected {
  /** In the unit of the measure; of a ratio its logarithm. */
  value: number;
  /** By how much sound wells differ from it, one with another. */
  std: number;
  /** What it is held against, in words. */
  by: string;
}

/** What the well file promises of the runs. */
export interface Nameplate {
  /** Delivery [reference units a minute] and its relative standard uncertainty. */
  perMin: number;
  relStd: number;
  /** Gas volume that a run fills from cut-in to cut-out, reference units; NaN where not known. */
  fill: number;
}

/** `anchor` is the delivery that nameplates promise, as the estimation has it. */
export function nameplateOf(anchor: Delivery, known: Known): Nameplate {
  const { atmospherePa, equipment, referencePa } = known;
  const volumeAt = (gauge: Quantity | null): number =>
    gauge === null ? NaN : referencePa / (gauge.value + atmospherePa);
  return {
    perMin: anchor.b0,
    relStd: relativeStd(anchor),
    fill: volumeAt(equipment.cutInPaGauge) - volumeAt(equipment.cutOutPaGauge),
  };
}

const NAMEPLATES = 'the nameplates';
const USUAL = 'what is usual';

const psi = (x: number): number => x * PSI_PA;
const usual = (value: number, std: number): Expected => ({ value, std, by: USUAL });
/** One run in twenty may be odd for no reason. */
const NONE: Expected = { value: 0, std: 0.065, by: 'none on a sound well' };
const quantity = (q: Quantity | null, more: number): Expected | undefined =>
  q === null ? undefined : { value: q.value, std: Math.hypot(q.std, more), by: 'its setting' };

/** A pressure sensor fresh from its box is off by this (common practice: 1 % of 100 psi). */
const SENSOR_PA = psi(1);

/**
 * What each measure should be by nameplate, by physics and by the trade's rules; a measure is left
 * out where the well file does not say enough, or where sound wells differ too much from each
 * other. Figures of what is usual are common practice, from memory, and held wide. `runningA` is
 * what the motor takes here; NaN until that is known.
 */
export function expectedOf(
  equipment: Equipment,
  nameplate: Nameplate,
  runningA: number,
): Partial<Record<Measure, Expected>> {
  const delivery = deliveryOf(equipment, nameplate);
  const expected: Partial<Record<Measure, Expected | undefined>> = {
    'cut-in': quantity(equipment.cutInPaGauge, SENSOR_PA),
    'cut-out': quantity(equipment.cutOutPaGauge, SENSOR_PA),
    dip: usual(0, psi(1)),
    delivery,
    'run-length': delivery && runLengthOf(nameplate),
    // Somebody shuts a tap in a run, or opens one.
    fade: usual(0, 0.35),
    amps: ampsOf(equipment),
    peak: peakOf(equipment),
    // Amps of a steady motor repeat within half a percent; some converters are coarser.
    jitter: Number.isNaN(runningA) ? undefined : usual(Math.log(0.003 * runningA), 0.8),
    // A switch repeats within 0.3 to 0.7 psi.
    'set-spread': usual(Math.log(psi(0.7)), 0.6),
    // What the water between tee and tank held up, and the first heat of the gas.
    'after-stop': usual(psi(1.6), psi(1.4)),
    'dead-time': usual(1, 2.5),
    // Noise of the sensor.
    roughness: usual(Math.log(psi(0.09)), 0.9),
    'night-draws': usual(1, 2),
    duty: usual(0.02, 0.1),
    'start-time': usual(0.2, 0.12),
    mains: mainsOf(equipment),
    stalls: NONE,
    breaks: NONE,
    flickers: NONE,
    // The mains fail, too.
    trips: { ...NONE, std: 0.1 },
  };
  return Object.fromEntries(Object.entries(expected).filter(([, e]) => e !== undefined));
}

function deliveryOf(equipment: Equipment, nameplate: Nameplate): Expected | undefined {
  const { ratedFlowM3PerS, curve, tankVolumeM3 } = equipment;
  if (tankVolumeM3 === null || (ratedFlowM3PerS === null && curve === null)) return undefined;
  return { value: Math.log(nameplate.perMin), std: nameplate.relStd, by: NAMEPLATES };
}

/** A run fills the tank, and what is drawn meanwhile makes it longer. */
function runLengthOf({ perMin, relStd, fill }: Nameplate): Expected | undefined {
  if (!(fill > 0)) return undefined;
  const value = Math.log((60 * fill) / perMin);
  return { value, std: Math.hypot(relStd, 0.45), by: NAMEPLATES };
}

function ampsOf(equipment: Equipment): Expected | undefined {
  const { currentA, relStd } = plateAmps(equipment);
  if (Number.isNaN(currentA)) return undefined;
  return { value: Math.log(currentA), std: relStd, by: NAMEPLATES };
}

/** A motor at standstill takes four to seven times what it takes running (common practice). */
function peakOf(equipment: Equipment): Expected | undefined {
  const { currentA } = plateAmps(equipment);
  return Number.isNaN(currentA)
    ? undefined
    : { value: Math.log(5 * currentA), std: 0.35, by: NAMEPLATES };
}

/** A supply is held to 5 % of its own voltage, for which a motor's plate says some 4 % less. */
function mainsOf({ voltageV }: Equipment): Expected | undefined {
  if (voltageV === null) return undefined;
  return { value: Math.log(1.025 * voltageV.value), std: 0.032, by: NAMEPLATES };
}
