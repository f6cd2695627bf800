import type { InstallationLimit, InstallationResult } from '../../model/installation.ts';
import { netPositiveSuctionHeadM } from '../../physics/pump/net-positive-suction-head.ts';
import { vapourPressurePa } from '../../physics/water/vapour-pressure.ts';
import { casingAreaM2 } from '../../physics/well/casing-area.ts';
import { FOOT_M, FORMULA_HEAD, HORSEPOWER_W, WATER_KG_PER_M3 } from './constants.ts';
import { assumed, atLeast, type Check, fromResult, unneeded, worked } from './result.ts';
import type { Site } from './site.ts';

const INCH_M = 0.0254;
/** Motors of this power and more need water flowing past them; a 4-inch motor goes up to 10 hp. */
const COOLED_W = 2.98 * HORSEPOWER_W;
const FOUR_INCH_W = 10.05 * HORSEPOWER_W;

/** Water past the motor of a submersible, at its least flow. */
export function motorCooling(site: Site, atCutOut: InstallationResult): InstallationResult {
  const power = site.equipment.powerW;
  const needsCooling = power !== null && power.value >= COOLED_W;
  const speed = 0.25 * FOOT_M;
  const limit: InstallationLimit | null = needsCooling
    ? atLeast(speed, 'at least 0.25 ft/s, 4-inch motors of 3 hp and more', "motor maker's manual")
    : null;
  const check: Check<'Q' | 'D' | 'm' | 'P'> = {
    id: 'motor-cooling',
    title: 'Water past the motor at cut-out',
    formula: { us: 'v = 0.4085 * Q / (D^2 - m^2)', si: 'v = 21.22 * Q / (D^2 - m^2)' },
    source: "Flow over the ring between casing and motor; a motor maker's manual.",
    kind: 'speed',
    inputs: {
      Q: fromResult(atCutOut),
      D: site.get('casingM'),
      m: assumed('outside of a 4-inch motor', 3.75 * INCH_M, {
        std: 0.03 * INCH_M,
        kind: 'diameter',
        because: 'from memory',
      }),
      P: site.get('powerW'),
    },
    value: ({ Q, D, m }) => Q / casingAreaM2(D, m),
    limit,
    says: {
      good: needsCooling
        ? 'Enough, in water up to 86 degF, if the water comes from below the motor.'
        : 'No least speed is set for 4-inch motors below 3 hp.',
      bad:
        'Too slow to cool the motor. A flow sleeve is the usual remedy; so it is where the water ' +
        'comes in above the pump. That is for the pump installer.',
      none: 'The casing is not wider than a 4-inch motor.',
    },
    acts: ['open-well'],
  };
  if (!site.isSubmersible) return unneeded(check, 'The motor of a jet pump stands in the air.');
  if (power !== null && power.value > FOUR_INCH_W) {
    return unneeded(check, 'Motors above 10 hp are wider than 4 in: their maker gives the speed.');
  }
  return worked(check);
}

/** How far the water at a jet pump is from boiling. */
export function suctionHead(
  site: Site,
  { friction, minor }: { friction: InstallationResult; minor: InstallationResult },
): InstallationResult {
  const temperatureK = 283.15;
  const check: Check<'pa' | 'pv' | 'z' | 'e' | 'hf' | 'hm'> = {
    id: 'suction-head',
    title: 'Net positive suction head',
    formula: {
      us: `N = ${FORMULA_HEAD.us} * (pa - pv) - z - e - hf - hm`,
      si: `N = ${FORMULA_HEAD.si} * (pa - pv) - z - e - hf - hm`,
    },
    source: 'Spellman, examples 10.10 and 10.11; Crane TP-410, example 7.32.',
    kind: 'length',
    inputs: {
      pa: site.air(),
      pv: assumed('water boils at', vapourPressurePa(temperatureK), {
        std: vapourPressurePa(temperatureK + 5) - vapourPressurePa(temperatureK),
        kind: 'pressure',
        because: 'water of 50 degF, IAPWS-IF97',
      }),
      z: site.restedLevel(),
      e: assumed('pump above ground', 0, {
        std: 3 * FOOT_M,
        kind: 'length',
        because: 'no key for it',
      }),
      hf: fromResult(friction),
      hm: fromResult(minor),
    },
    value: ({ pa, pv, z, e, hf, hm }) =>
      netPositiveSuctionHeadM({
        surfacePaAbs: pa,
        vapourPaAbs: pv,
        liftM: z + e,
        lossM: hf + hm,
        densityKgPerM3: WATER_KG_PER_M3,
      }),
    limit: atLeast(
      8 * FOOT_M,
      "at least 8 ft: what 25 ft of lift leave at sea level; the maker's figure rules",
      'common practice',
    ),
    says: {
      good: 'The pump can draw from here, well rested.',
      bad:
        'Too deep to draw from above: the pump would cavitate or lose its prime. With the ' +
        'ejector down in the well (two pipes) this check does not hold: ask the maker.',
    },
    acts: ['open-well'],
  };
  if (site.equipment.pumpKind === 'submersible') {
    return unneeded(check, 'A submersible stands under its water.');
  }
  if (site.equipment.pumpKind === null) {
    return worked({ ...check, inputs: { ...check.inputs, hf: { needs: ['pump.kind'] } } });
  }
  return worked(check);
}
