import type { FindingEntry } from '../../model/study.ts';
import type { WellNow } from '../../model/well-now.ts';

/** A record as RFC 8428 writes it in JSON. */
export interface SenmlJson {
  bn?: string;
  bt?: number;
  n?: string;
  u?: string;
  t?: number;
  v?: number;
  vs?: string;
  vb?: boolean;
}

type Out = SenmlJson[];

/**
 * How things stand at a well as a SenML pack for `wells/<id>/results`: docs/formats/results.md.
 * What is not known has no record of its own, but one under `unknown/` that says why.
 */
export function resultsPack(now: WellNow): SenmlJson[] {
  const out: Out = [];
  number(out, 'pressure', 'Pa', now.pressurePaGauge);
  number(out, 'current', 'A', now.currentA);
  if (now.pump.on !== null) out.push({ n: 'pump/on', vb: now.pump.on });
  if (now.pump.since !== null) out.push({ n: 'pump/since', vs: now.pump.since });
  withStd(out, 'flow', 'm3/s', now.flowM3PerS, now.flowM3PerSStd);
  day(out, now.day);
  out.push({ n: 'findings', u: 'count', v: now.findings.length });
  for (const one of now.findings) finding(out, one);
  if (now.test !== null && now.test.fastEnough !== null) {
    const test = `test/${now.test.what}`;
    out.push({ n: `${test}/fast-enough`, vb: now.test.fastEnough });
    number(out, `${test}/needs`, 's', now.test.needsS);
    number(out, `${test}/gets`, 's', now.test.getsS);
  }
  if (now.silence !== null) {
    out.push({ n: 'silence/since', vs: now.silence.since });
    out.push({ n: 'silence/urgency', vs: now.silence.urgency ?? 'none' });
  }
  if (now.replay !== null) out.push({ n: 'replay/at', vs: now.replay.at });
  now.clocks.forEach(({ device, behindS, since, apartUntil }, i) => {
    const n = `clock/${i + 1}`;
    out.push({ n: `${n}/device`, vs: device }, { n: `${n}/behind`, u: 's', v: behindS });
    out.push({ n: `${n}/since`, vs: since });
    if (apartUntil !== null) out.push({ n: `${n}/apart-until`, vs: apartUntil });
  });
  for (const { field, because } of now.unknown) out.push({ n: `unknown/${field}`, vs: because });
  const base: SenmlJson = { bn: `wells/${now.well}/results/` };
  if (now.at !== null) base.bt = Date.parse(now.at) / 1000;
  return [{ ...base, ...out[0] }, ...out.slice(1)];
}

function number(out: Out, n: string, u: string, v: number | null): void {
  if (v !== null) out.push({ n, u, v });
}

function withStd(out: Out, n: string, u: string, v: number | null, std: number | null): void {
  number(out, n, u, v);
  if (v !== null) number(out, `${n}/std`, u, std);
}

function day(out: Out, of: WellNow['day']): void {
  if (of === null) return;
  out.push({ n: 'day/date', vs: of.date }, { n: 'day/open', vb: of.open });
  withStd(out, 'day/used', 'm3', of.usedM3, of.usedM3Std);
  withStd(out, 'day/loss', 'm3', of.lossM3, of.lossM3Std);
  withStd(out, 'day/pumped', 'm3', of.pumpedM3, of.pumpedM3Std);
  number(out, 'day/starts', 'count', of.starts);
  number(out, 'day/run-time', 's', of.runS);
  withStd(out, 'day/energy', 'J', of.energyJ, of.energyJStd);
  withStd(out, 'day/level-drop', 'm', of.levelDropM, of.levelDropMStd);
  withStd(out, 'day/pumping-level', 'm', of.pumpingLevelM, of.pumpingLevelMStd);
}

/** A finding is words and a chance; its words are those of the study. */
function finding(out: Out, one: FindingEntry): void {
  const n = `finding/${one.id}`;
  out.push(
    { n: `${n}/fault`, vs: one.fault },
    { n: `${n}/probability`, u: '/', v: one.probability },
    { n: `${n}/urgency`, vs: one.urgency },
    { n: `${n}/since`, vs: one.since },
  );
  const [first] = one.evidence;
  if (first !== undefined) out.push({ n: `${n}/says`, vs: first.says });
  out.push({ n: `${n}/action`, vs: one.action });
  if (one.cautions.length > 0) out.push({ n: `${n}/cautions`, vs: one.cautions.join(' ') });
}
