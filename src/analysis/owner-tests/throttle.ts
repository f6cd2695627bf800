import { PSI_PA } from '../../units/table.ts';
import { learntBase } from './fill.ts';
import { CLOCK_S } from './gather.ts';
import { type FlowPoint, liftInX, type PumpBase, weighPumpChange } from './pump-change.ts';
import { pointsOf } from './series.ts';
import type { Found, Job, TestOutcome } from './types.ts';

const LEAST_POINTS = 3;
/** The first value again: this near, it is the same. */
const SAME_PA = 3 * PSI_PA;
const SPAN_PA = 8 * PSI_PA;
/** Drawdown that a long test makes by itself, in half bands, where no earlier test shows it. */
const OWN_DRAWDOWN = [0, 0.2, 0.5, 1];

/** A point of the sweep: pressure in half bands from the middle, flow m3/s. */
interface Steady extends FlowPoint {
  pressurePaGauge: number;
}

/**
 * Steady points of pressure and flow. Against the same sweep of an earlier year, or else against
 * delivery as it was learnt: a level that fell shifts the curve, a choke takes with the square of
 * flow, wear takes from all of it.
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
  return { ...outcome, unusable: null, found, bearing: weighPumpChange(now, base, lift) };
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
  const fall = Math.max(1 - last.flow / first.flow, 0);
  const n = steady.length - 1;
  return steady.map((p, k) => ({ ...p, flow: p.flow * (1 + (fall * k) / n) }));
}

function baseOf(job: Job, earlier: Job | null): PumpBase | null {
  if (earlier !== null) {
    const then = undrawn(steadyPoints(earlier));
    const [a, b, c] = parabola(then);
    const std = then.reduce((sum, p) => sum + p.std, 0) / then.length / Math.sqrt(then.length / 3);
    return { flow: (x) => a + b * x + c * x * x, relStd: 0.005, std: () => std, idle: [0] };
  }
  const learnt = learntBase(job.before);
  const { tankConstantPaM3: tank, tankRelStd, known } = job;
  if (learnt === null || Number.isNaN(tank)) return null;
  const unit = tank / known.referencePa / 60;
  return {
    flow: (x) => learnt.flow(x) * unit,
    relStd: Math.hypot(learnt.relStd, tankRelStd),
    std: (x) => learnt.std(x) * unit,
    idle: OWN_DRAWDOWN,
  };
}

/** Weighted parabola of flow over x; a straight line where three pressures are not to be had. */
function parabola(points: readonly Steady[]): [number, number, number] {
  const s = [0, 0, 0, 0, 0];
  const r = [0, 0, 0];
  for (const { x, flow, std } of points) {
    const w = std ** -2;
    for (let k = 0; k < 5; k++) s[k]! += w * x ** k;
    for (let k = 0; k < 3; k++) r[k]! += w * x ** k * flow;
  }
  // Usual pumps bend little: that keeps a sweep of few points from bending much.
  s[4]! += s[0]! / 0.02 ** 2 / Math.max((r[0]! / s[0]!) ** 2 / points[0]!.std ** 2, 1);
  return solved(s, r);
}

function solved(s: number[], r: number[]): [number, number, number] {
  const rows = [0, 1, 2].map((i) => [s[i]!, s[i + 1]!, s[i + 2]!, r[i]!]);
  for (let i = 0; i < 3; i++)
    for (let k = i + 1; k < 3; k++) {
      const factor = rows[k]![i]! / rows[i]![i]!;
      rows[k] = rows[k]!.map((v, j) => v - factor * rows[i]![j]!);
    }
  const c = rows[2]![3]! / rows[2]![2]!;
  const b = (rows[1]![3]! - rows[1]![2]! * c) / rows[1]![1]!;
  const a = (rows[0]![3]! - rows[0]![1]! * b - rows[0]![2]! * c) / rows[0]![0]!;
  return [a, b, c];
}

function foundOf(job: Job, steady: readonly Steady[]): Found[] {
  const first = steady[0]!;
  const last = steady.at(-1)!;
  const rows = (job.test.points ?? []).map((p) => ({
    what: `flow at ${(p.pressurePaGauge / 1000).toFixed(0)} kPa`,
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
