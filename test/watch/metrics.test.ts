import { execFileSync } from 'node:child_process';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openMetrics } from '../../src/server/open-metrics.ts';
import { rowsUnder } from '../support/doc-rows.ts';
import { joined } from './joined.ts';

// The grammar of OpenMetrics 1.0, section 5.1 (ABNF), of what counters and gauges need.
const NAME = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const TEXT = '(?:[^\\n"\\\\]|\\\\[n"\\\\])*';
const LABEL = `[a-zA-Z_][a-zA-Z0-9_]*="${TEXT}"`;
const NUMBER = '(?:[-+]?\\d+(?:\\.\\d*)?(?:[eE][-+]?\\d+)?|[-+]?Inf|NaN)';
const SAMPLE = new RegExp(`^(${NAME})(\\{${LABEL}(?:,${LABEL})*\\})? ${NUMBER}$`);
const WHAT = [
  `TYPE (?<type>${NAME}) (?:counter|gauge)`,
  `HELP (?<help>${NAME}) ${TEXT}`,
  `UNIT (?<unit>${NAME}) [a-z]+`,
];
const DESCRIPTOR = new RegExp(`^# (?:${WHAT.join('|')})$`);

/** Families with their samples; throws where a line is none of the grammar. */
function familiesOf(text: string): Map<string, string[]> {
  const lines = text.split('\n');
  if (lines.at(-1) !== '' || lines.at(-2) !== '# EOF') throw new Error('expected # EOF at the end');
  const families = new Map<string, string[]>();
  let name = '';
  for (const line of lines.slice(0, -2)) {
    const { type, help, unit } = DESCRIPTOR.exec(line)?.groups ?? {};
    if (type !== undefined) {
      if (families.has(type)) throw new Error(`expected ${type} once`);
      name = type;
      families.set(name, []);
    } else if (help !== undefined || unit !== undefined) {
      if ((help ?? unit) !== name) throw new Error(`expected ${name}, found ${line}`);
    } else {
      const sample = SAMPLE.exec(line)?.[1];
      if (sample !== name && sample !== `${name}_total`) throw new Error(`no sample: ${line}`);
      families.get(name)!.push(line);
    }
  }
  return families;
}

/** What the reference library of the format reads (Debian's python3-prometheus-client). */
const READER = `import sys, json
from prometheus_client.openmetrics.parser import text_string_to_metric_families as read
print(json.dumps({f.name: {"type": f.type, "unit": f.unit,
  "samples": [[s.name, s.labels, s.value] for s in f.samples]} for f in read(sys.stdin.read())}))`;
const PYTHON = ['/usr/bin/python3', 'python3'].find((python) => {
  try {
    execFileSync(python, ['-c', 'import prometheus_client.openmetrics.parser'], { stdio: 'pipe' });
    return true;
  } catch {
    return false;
  }
});
if (PYTHON === undefined) process.stderr.write('no reference parser of OpenMetrics here\n');
type Read = Record<string, { type: string; unit: string; samples: [string, object, number][] }>;
const readBy = (python: string, text: string): Read =>
  JSON.parse(execFileSync(python, ['-c', READER], { input: text }).toString());

describe('metrics', () => {
  let on: Awaited<ReturnType<typeof joined>>;
  let answer: Response;
  let text: string;
  const nowS = Math.floor(Date.now() / 1000);
  beforeAll(async () => {
    on = await joined(['name = "Ridge"\n', 'name = "Barn"\n']);
    const records = Array.from({ length: 200 }, (_, i) => [
      { n: 'pressure', u: 'Pa', t: nowS - 200 + i, v: 3e5 },
      { n: 'current', u: 'A', t: nowS - 200 + i, v: 0.01 },
    ]);
    await on.post('ridge', JSON.stringify(records.flat()));
    await on.post('ridge', JSON.stringify(records.flat()));
    await on.post('ridge', '[{"n":"pressure","u":"psi","v":55}]');
    await on.get('nowhere');
    await on.service.wells.advance();
    answer = await fetch(on.api.replace('/api/v1', '/metrics'));
    text = await answer.text();
  });
  afterAll(() => on.close());

  it('are OpenMetrics by its grammar, of the type that it is registered as', () => {
    expect(answer.headers.get('content-type')).toBe(
      'application/openmetrics-text; version=1.0.0; charset=utf-8',
    );
    expect(answer.headers.get('cache-control')).toBe('no-store');
    expect(familiesOf(text).size).toBeGreaterThan(10);
    expect(() => familiesOf(text.replace('# EOF\n', ''))).toThrow();
  });

  it('are those of docs/service.md, with their units and labels', () => {
    const printed = rowsUnder('service.md', '## Addresses')
      .filter(([name]) => name?.startsWith('wellwright_'))
      .map(([name, unit]) => [name, unit]);
    const units = new Map(
      [...text.matchAll(/^# UNIT (\S+) (\S+)$/gm)].map((m) => [m[1]!, m[2]!] as const),
    );
    const found = [...familiesOf(text).keys()].map((name) => [name, units.get(name) ?? '']);
    expect(found).toEqual(printed);
  });

  it('say what happened', () => {
    const families = familiesOf(text);
    expect(families.get('wellwright_readings')).toContain(
      'wellwright_readings_total{well="ridge",became="accepted"} 400',
    );
    expect(families.get('wellwright_readings')).toContain(
      'wellwright_readings_total{well="ridge",became="duplicate"} 400',
    );
    expect(families.get('wellwright_refused')).toEqual([
      'wellwright_refused_total{well="ridge",code="wrong-unit"} 1',
    ]);
    expect(families.get('wellwright_counted')).toContain(
      'wellwright_counted_total{counter="http:no-such-address"} 1',
    );
    expect(families.get('wellwright_last_reading_seconds')).toEqual([
      `wellwright_last_reading_seconds{well="ridge"} ${nowS - 1}`,
    ]);
    const [lag] = families.get('wellwright_lag_seconds')!;
    expect(Number(lag!.split(' ')[1])).toBeGreaterThan(0);
    expect(Number(lag!.split(' ')[1])).toBeLessThan(600);
    expect(families.get('wellwright_alive')).toHaveLength(2);
    const [bytes] = families.get('wellwright_store_bytes')!;
    expect(Number(bytes!.split(' ')[1])).toBeGreaterThan(10_000);
  });

  it.runIf(PYTHON !== undefined)('read the same by the reference library', () => {
    const read = readBy(PYTHON!, text);
    expect(Object.keys(read)).toEqual([...familiesOf(text).keys()]);
    expect(read.wellwright_memory_bytes).toMatchObject({ type: 'gauge', unit: 'bytes' });
    const hostile = 'a "topic" \\ of\nmine';
    const one = openMetrics([
      {
        ...{ name: 'x', type: 'counter', help: hostile },
        samples: [{ labels: { topic: hostile }, value: 1.5 }],
      },
    ]);
    expect(readBy(PYTHON!, one).x!.samples).toEqual([['x_total', { topic: hostile }, 1.5]]);
  });
});
