import { evenNumbers } from '../support/numbers.ts';
import published from './published-recovery.json' with { type: 'json' };

/** Logs of a household on boreholes of published-recovery.json: see published-recovery.test.ts. */
export type Published = (typeof published.tests)[number];

const FOOT_M = 0.3048;
const GPM = 0.003785411784 / 60;
export const FLOW_M3_PER_S = published.flowLPerS / 1000;
const START_S = Date.parse('2026-04-06T00:00:00Z') / 1000;
/** The draw begins after a night in which nobody used water. */
const DRAW_S = 4.3 * 86_400;
const AFTER_S = 7200;

/** The law through the published levels: specific capacity, storage and their time. */
export function lawOf({ restedM, endM, afterM, pumpedMin, afterMin }: Published) {
  const drawnM = endM - restedM;
  const tauS = (60 * afterMin) / Math.log(drawnM / (afterM - restedM));
  const capacity = (FLOW_M3_PER_S / drawnM) * (1 - Math.exp((-60 * pumpedMin) / tauS));
  return { drawnM, tauS, capacity, storageM2: capacity * tauS };
}

/** Drawdown a second later. */
export function step(drawdownM: number, flow: number, law: ReturnType<typeof lawOf>): number {
  return drawdownM + (flow - law.capacity * drawdownM) / law.storageM2;
}

/**
 * Delivery falls from a head at no flow with the square of flow [ft, ft/gpm2]: small multistage
 * pumps of half a horsepower for 5 and for 10 gpm (common practice); the smaller for deep levels.
 */
const SMALL = { headFt: 389, perGpm2: 4.36, ratedGpm: 5 };
const LARGE = { headFt: 242, perGpm2: 0.68, ratedGpm: 10 };
const pumpFor = ({ restedM, endM }: Published) => (endM - restedM > 15 ? SMALL : LARGE);

/** A tap opened now and then, as its flow at 50 psi [gpm]: nobody planned it. */
function household(seed: number): (timeS: number) => number {
  const random = evenNumbers(seed);
  let nextS = 0;
  let untilS = 0;
  let gpm = 0;
  return (timeS) => {
    const hour = (timeS % 86_400) / 3600;
    if (timeS >= nextS && hour > 6 && hour < 23) {
      untilS = timeS + 30 + 150 * random();
      gpm = 1 + 3 * random();
      nextS = untilS + 600 + 3600 * random();
    }
    return timeS < untilS ? gpm : 0;
  };
}

/** Readings of such a house, and how deep the level was at the deepest of each day. */
export function logOf(test: Published, seed = 7): { rows: string[]; deepestM: number[] } {
  const law = lawOf(test);
  const { headFt, perGpm2 } = pumpFor(test);
  const stopS = DRAW_S + 60 * test.pumpedMin;
  const tap = household(seed);
  // Air of 38 psi in 20 gallons; it warms as it is pressed and loses that to the room in 100 s.
  const constant = 52.7 * 20;
  let gas = constant / 74.7;
  let warm = 1;
  let on = false;
  let drawdownM = 0;
  const deepestM = [0, 0, 0, 0, 0];
  const rows: string[] = [];
  for (let t = 0; t < stopS + AFTER_S; t++) {
    const psi = (constant / gas) * warm - 14.7;
    if (!on && psi <= 40) on = true;
    else if (on && psi >= 60) on = false;
    const liftFt = (test.restedM + drawdownM) / FOOT_M + 2.31 * psi;
    const pumped = on ? Math.sqrt(Math.max(headFt - liftFt, 0) / perGpm2) : 0;
    drawdownM = step(drawdownM, pumped * GPM, law);
    const day = Math.floor(t / 86_400);
    deepestM[day] = Math.max(deepestM[day]!, drawdownM);
    const hose = t < stopS ? FLOW_M3_PER_S / GPM : 0.3;
    const open = t < 4 * 86_400 ? tap(t) : t < DRAW_S ? 0 : hose;
    const leaves = (open * Math.sqrt(psi / 50) - pumped) / 60;
    warm -= (0.4 * warm * leaves) / gas + (warm - 1) / 100;
    gas += leaves;
    const noise = 0.03 * Math.sin(t * 12.9898) + 0.03 * Math.sin(t * 78.233);
    if (t % (on ? 1 : 10) === 0)
      rows.push(`${START_S + t},${(psi + noise).toFixed(3)},${on ? 5 : 0.02}`);
  }
  return { rows, deepestM };
}

const instant = (s: number): string => new Date(1000 * (START_S + s)).toISOString();

/** The well file. The household's pump hangs two metres below where the test's pump hung. */
export const tomlOf = (test: Published): string => `name = "Published recovery"
time_zone = "UTC"
altitude = "0 ft"
[well]
casing = "110 mm"
static_level = { value = "${test.restedM} m", source = "measured" }
[pump]
intake_depth = "${test.intakeM + 2} m"
rated_flow = "${pumpFor(test).ratedGpm} gpm"
power = "0.5 hp"
[tank]
volume = { value = "20 gal", source = "measured" }
precharge = { value = "38 psi", source = "measured" }
[switch]
cut_in = "40 psi"
cut_out = "60 psi"
[[recovery_test]]
start = ${instant(DRAW_S)}
stop = ${instant(DRAW_S + 60 * test.pumpedMin)}
flow = "${published.flowLPerS} L/s"
`;
