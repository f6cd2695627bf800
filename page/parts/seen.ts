import type { Outline } from '../../src/model/study.ts';
import type { Equipment, Well } from '../../src/model/well.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { atmosphericPressurePa } from '../../src/physics/air/atmospheric-pressure.ts';
import { tankConstantPaM3 } from '../../src/physics/tank/tank-constant.ts';
import { type Figures, known } from '../../src/report/figures.ts';
import { type Depths, tankFill } from './section-geometry.ts';

/** What of the plant can be seen from the file and the readings at this moment. */
export interface Seen {
  equipment: Equipment;
  depths: Depths;
  fill: {
    waterShare: number;
    air(figures: Figures): string;
    water(figures: Figures): string;
  } | null;
}

/** The equipment in force: of the file, with what services have changed since. */
function equipmentAt({ equipment, services }: Well, atS: number): Equipment {
  const done = services.filter(({ onS }) => onS <= atS).toSorted((a, b) => a.onS - b.onS);
  return Object.assign({}, equipment, ...done.map(({ now }) => now));
}

export function seenOf(well: Well, now: WellNow, outline: Outline | null): Seen {
  const atS = now.at === null ? Number.POSITIVE_INFINITY : Date.parse(now.at) / 1000;
  const equipment = equipmentAt(well, atS);
  const { staticLevelM, intakeDepthM } = equipment;
  const { day } = now;
  const staticLevel =
    staticLevelM === null ? null : { m: staticLevelM.value, std: staticLevelM.std };
  const deepest =
    day === null || day.pumpingLevelM === null
      ? null
      : { m: day.pumpingLevelM, std: day.pumpingLevelMStd ?? 0 };
  const depths = { staticLevel, pumpingLevel: deepest, intakeM: intakeDepthM?.value ?? null };
  return { equipment, depths, fill: fillOf(well, equipment, now, outline) };
}

/** Air and water in the tank by the gas law; the constant as learnt, else by the nameplate. */
function fillOf(
  well: Well,
  equipment: Equipment,
  now: WellNow,
  outline: Outline | null,
): Seen['fill'] {
  const airPa = atmosphericPressurePa(well.altitudeM.value);
  const { tankVolumeM3, prechargePaGauge } = equipment;
  const volumeM3 = tankVolumeM3?.value ?? null;
  const learnt = outline?.scale.at(-1)?.tankConstantPaM3 ?? null;
  const plate =
    volumeM3 === null || prechargePaGauge === null
      ? null
      : tankConstantPaM3(volumeM3, prechargePaGauge.value + airPa);
  const pressure = now.pressurePaGauge === null ? null : now.pressurePaGauge + airPa;
  const fill = tankFill(learnt ?? plate, volumeM3, pressure);
  if (fill === null || tankVolumeM3 === null) return null;
  // What is not known of the tank's volume is not known of the water in it.
  const { std } = tankVolumeM3;
  const words = (value: number) => (figures: Figures) => known({ value, std }, 'volume', figures);
  return { waterShare: fill.waterShare, air: words(fill.airM3), water: words(fill.waterM3) };
}
