import { PSI_PA } from '../../units/table.ts';
import { learntBase } from './fill.ts';
import { CLOCK_S } from './gather.ts';
import {
  curveThrough,
  type FlowPoint,
  flowOf,
  liftInX,
  type PumpBase,
  weighPumpChange,
  weighRatio,
} from './pump-change.ts';
import { pointsOf } from './series.ts';
import type { Found, Job, TestOutcome } from './types.ts';

const LEAST_POINTS = 3;
/** The first value again: this near, it is the same. */
const SAME_PA = 3 * PSI_PA;
const SPAN_PA = 8 * PSI_PA;
/** What the form of the curve leaves, relative. */
const FORM = 0.012;

/** A point of the sweep: pressure in half bands from the middle, flow m3/s. */
interface Steady extends FlowPoint {
  pressurePaGauge: number;
}

/**
 * Steady points of pressure and flow. Against the same sweep of an earlier year: a level that fell
 * shifts the curve, a choke takes with the square of flow, wear takes from all of it. Without one,
 * against delivery as it was learnt.
 */
export function evaluateThrottle(job: Job, earlier: Job | null): TestOutcome {
  const { startS, stopS, points: given = [] } = job.test;
  const outcome = { test: 'throttle', startS, stopS } as const;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found: [], bearing: [] });
  const steady = steadyPoints(job);
  if (steady.length < LEAST_POINTS)
    return no(`it has ${given.length} points; a curve takes ${LEAST_POINTS} and the first again`);
  const pressures = steady.map((p) => p.pressurePaGauge);
  if (Math.max(...pressures) - Math.min(...pressures) < SPAN_PA)
    return no('its points lie within 8 psi of one another: no shape shows there');
  const inside = pointsOf(job).filter(
    (p) => p.timeS > startS + CLOCK_S && p.timeS < stopS - CLOCK_S,
  );
  const off = inside.filter((p) => !p.on).length;
  if (inside.length > 5 && off > 0.1 * inside.length)
    return no('the pump did not run all through: it had filled the tank in between');
  const found = foundOf(job, steady);
  const base = baseOf(job, earlier);
  if (base === null) return { ...outcome, unusable: null, found, bearing: [] };
  const { band, equipment } = job.known;
  const lift = liftInX(equipment.staticLevelM?.value ?? 30, band.middlePaGauge, band.halfPa);
  const now = undrawn(steady);
  const ratio = now.reduce((sum, p) => sum + p.flow / base.flow(p.x), 0) / now.length;
  const own = Math.sqrt(now.reduce((s, p) => s + (p.std / p.flow) ** 2, 0)) / now.length;
  const std = Math.hypot(base.relStd, own, base.std(now[0]!.x) / base.flow(now[0]!.x) / 2);
  found.unshift({
    what: earlier === null ? 'delivery over delivery when learnt' : 'delivery over the last test',
    value: ratio,
    std,
    unit: '1',
  });
  // Delivery as learnt in the switch band knows too little of the curve to part shapes.
  const bearing = earlier === null ? weighRatio(ratio, std) : weighPumpChange(now, base, lift);
  return { ...outcome, unusable: null, found, bearing };
}

function steadyPoints({ test, known }: Job): Steady[] {
  const { middlePaGauge, halfPa } = known.band;
  return (test.points ?? []).map((point) => ({
    pressurePaGauge: point.pressurePaGauge,
    x: (point.pressurePaGauge - middlePaGauge) / halfPa,
    flow: point.flowM3PerS,
    // The pressure's own error counts as flow along a usual curve, 1 % for a psi.
    std: Math.hypot(
      point.flowM3PerSStd,
      FORM * point.flowM3PerS,
      ((0.01 * point.pressurePaGaugeStd) / PSI_PA) * point.flowM3PerS,
    ),
  }));
}

/** The points less what the level fell from first to last, where the first was made again. */
function undrawn(steady: readonly Steady[]): Steady[] {
  const first = steady[0]!;
  const last = steady.at(-1)!;
  if (steady.length < 4 || Math.abs(last.pressurePaGauge - first.pressurePaGauge) > SAME_PA)
    return steady.slice();
  const seen = Math.max(1 - last.flow / first.flow, 0);
  const std = Math.hypot(first.std, last.std) / first.flow;
  // Two buckets scatter about as much as a usual level falls: only what stands out is believed.
  const fall = seen ** 3 / (seen ** 2 + std ** 2);
  const n = steady.length - 1;
  return steady.map((p, k) => ({ ...p, flow: p.flow * (1 + (fall * k) / n) }));
}

function baseOf(job: Job, earlier: Job | null): PumpBase | null {
  if (earlier !== null) {
    const then = undrawn(steadyPoints(earlier));
    const middle = then.reduce((sum, p) => sum + p.flow, 0) / then.length;
    const curve = curveThrough(then, job.known.equipment.ratedFlowM3PerS?.value ?? middle);
    const own = then.reduce((sum, p) => sum + p.std, 0) / then.length;
    const off = then.reduce((sum, p) => sum + (p.flow - flowOf(curve, p.x)) ** 2, 0);
    const std = Math.max(own, Math.sqrt(off / (then.length - 2))) / Math.sqrt(then.length / 2);
    return { flow: (x) => flowOf(curve, x), relStd: 0.005, std: () => std };
  }
  const learnt = learntBase(job);
  const { tankConstantPaM3: tank, tankRelStd, known } = job;
  if (learnt === null || Number.isNaN(tank)) return null;
  const unit = tank / known.referencePa / 60;
  return {
    flow: (x) => learnt.flow(x) * unit,
    relStd: Math.hypot(learnt.relStd, tankRelStd),
    std: (x) => learnt.std(x) * unit,
  };
}

/** A name is the same in all units that a keeper may have. */
const inBoth = (pa: number): string =>
  `${(pa / PSI_PA).toFixed(0)} psi (${(pa / 1000).toFixed(0)} kPa)`;

function foundOf(job: Job, steady: readonly Steady[]): Found[] {
  const first = steady[0]!;
  const last = steady.at(-1)!;
  const rows = (job.test.points ?? []).map((p) => ({
    what: `flow at ${inBoth(p.pressurePaGauge)}`,
    value: p.flowM3PerS,
    std: p.flowM3PerSStd,
    unit: 'm3/s',
  }));
  if (steady.length < 4 || Math.abs(last.pressurePaGauge - first.pressurePaGauge) > SAME_PA)
    return rows;
  const value = 1 - last.flow / first.flow;
  const std = Math.hypot(first.std, last.std) / first.flow;
  return [...rows, { what: 'fall of delivery within the test', value, std, unit: '1' }];
}
