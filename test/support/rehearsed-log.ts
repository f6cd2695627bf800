import { readFileSync } from 'node:fs';
import type { Study } from '../../src/model/study.ts';
import type { OtherTest, Well } from '../../src/model/well.ts';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import { buildSystem } from '../../src/simulation/build-system.ts';
import type { FaultSpec } from '../../src/simulation/faults/faults.ts';
import { rehearse } from '../../src/simulation/rehearse.ts';
import { NO_TROUBLES, USUAL_TROUBLES } from '../../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../../src/simulation/sensing/reporting.ts';
import type { Truth } from '../../src/simulation/truth.ts';
import { wellFileText } from '../../src/simulation/well-file-text.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';

export interface RehearsedLog {
  timeS: number[];
  channel: number[];
  value: number[];
  toml: string;
  well: Well;
  truth: Truth;
}

export interface Asked {
  letter: string;
  days: number;
  seed: number;
  restS?: number;
  policy?: 'fast-while-running' | 'fixed' | 'on-change';
  faults?: FaultSpec[];
  messy?: boolean;
  bucketDays?: number[];
  /** Other tests, by the day on which they begin. */
  tests?: [kind: OtherTest['kind'], onDay: number][];
}

/** A log of a rehearsed well, in memory: readings in the order a device would send them. */
export function rehearsedLog(asked: Asked): RehearsedLog {
  const system = buildSystem(asked.letter, asked.seed);
  const reporting = usualReporting(asked.policy ?? 'fast-while-running', asked.restS ?? 5);
  const startS = Date.parse('2026-04-06T00:00:00Z') / 1000;
  const rehearsal = rehearse({
    system,
    startS,
    timeZone: 'UTC',
    troubles: asked.messy === true ? USUAL_TROUBLES : NO_TROUBLES,
    sensing: {},
    days: asked.days,
    seed: asked.seed,
    faults: asked.faults ?? [],
    reporting,
    bucketDays: asked.bucketDays ?? [],
    tests: (asked.tests ?? []).map(([kind, onDay]) => ({ kind, atS: startS + onDay * 86_400 })),
  });
  const log = { timeS: [] as number[], channel: [] as number[], value: [] as number[] };
  const add = (timeS: number, channel: number, value: number | null): void => {
    if (value === null) return;
    log.timeS.push(timeS);
    log.channel.push(channel);
    log.value.push(value);
  };
  rehearsal.run((row) => {
    add(row.timeS, 0, row.pressurePaGauge);
    add(row.timeS, 1, row.currentA);
  });
  const toml = wellFileText({
    name: `Case ${asked.letter}`,
    system,
    seed: asked.seed,
    timeZone: 'UTC',
    buckets: rehearsal.buckets(),
    tests: rehearsal.tests(),
    services: [],
    reporting,
  });
  return { ...log, toml, well: wellOf(toml), truth: rehearsal.truth() };
}

export function wellOf(toml: string): Well {
  const parsed = parseWellFile(toml);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.issues));
  return parsed.well;
}

/** Gives the readings from `from` to before `to` to a pipeline. */
export function feed(pipeline: Pipeline, log: RehearsedLog, from: number, to: number): void {
  pipeline.take({
    count: to - from,
    timeS: Float64Array.from(log.timeS.slice(from, to)),
    channel: Uint8Array.from(log.channel.slice(from, to)),
    value: Float64Array.from(log.value.slice(from, to)),
  });
}

export function studied(log: RehearsedLog, well: Well = log.well): Study {
  const pipeline = new Pipeline(well);
  feed(pipeline, log, 0, log.timeS.length);
  pipeline.end();
  return studyOf(pipeline, { setAside: [], told: [] });
}

export const schema = JSON.parse(
  readFileSync(new URL('../../docs/formats/study.schema.json', import.meta.url), 'utf8'),
);
