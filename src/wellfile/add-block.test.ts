import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BLOCK_TABLES, withBlock } from './add-block.ts';
import { parseWellFile } from './parse.ts';

const FILE = '# kept by the kitchen door\nname = "Mill" # not the old one\ntime_zone = "UTC"\n';
const read = (text: string) => {
  const result = parseWellFile(text);
  if (!result.ok) throw new Error(JSON.stringify(result.issues));
  return result.well;
};

const TIMES = { start: '2026-04-08T20:30:00Z', stop: '2026-04-08T20:33:12Z' };
const SAMPLES: Record<(typeof BLOCK_TABLES)[number], Parameters<typeof withBlock>[1]['values']> = {
  service: { on: '2026-05-02', did: 'new tank', resets: ['tank'], now: {} },
  calibration: { channel: 'pressure', from: '2026-04-01', raw: 'V', points: [['0.5 V', '0 psi']] },
  bucket_test: { ...TIMES, volume: '8.00 gal' },
  isolation_test: { ...TIMES, house_valve: 'shut' },
  precharge_test: { start: TIMES.start, pressure: '38 psi' },
  drain_test: TIMES,
  fill_test: TIMES,
  throttle_test: { ...TIMES, points: [['40 psi', '9.5 gpm']] },
  recovery_test: { ...TIMES, flow: '4 gpm' },
  sounding: { start: TIMES.start, level: '110 ft', pump: 'resting' },
};

describe('a block added to a well file', () => {
  it.each(BLOCK_TABLES)('[[%s]] reads back, and what stood there stays as it was', (table) => {
    const text = withBlock(FILE, { table, values: SAMPLES[table] });
    expect(text.startsWith(FILE)).toBe(true);
    const { services, calibrations, bucketTests, otherTests } = read(text);
    expect([...services, ...calibrations, ...bucketTests, ...otherTests]).toHaveLength(1);
  });

  it('brings what holds from a service on, with where it comes from', () => {
    const volume = { value: '44 gal', source: 'measured', uncertainty: '1 gal', on: '2026-05-01' };
    const now = { tank: { volume, precharge: '28 psi' }, switch: { cut_in: '30 psi' } };
    const values = { on: '2026-05-02T09:00:00Z', did: 'new tank', resets: ['tank'], now };
    const [service] = read(withBlock(FILE, { table: 'service', values })).services;
    // 44 US gal by NIST SP 811 appendix B.8: 3.785 412 L each.
    expect(service?.now.tankVolumeM3?.value).toBeCloseTo(0.166558, 6);
    expect(service?.now.tankVolumeM3?.source).toBe('measured');
    expect(service?.now.cutInPaGauge?.value).toBeCloseTo(206842.7, 0);
    expect(service?.onS).toBe(Date.UTC(2026, 4, 2, 9) / 1000);
  });

  it('keeps the line ends of the file, and ends a last line that is not ended', () => {
    const windows = withBlock('name = "Mill"\r\n', { table: 'drain_test', values: TIMES });
    expect(windows.replaceAll('\r\n', '')).not.toContain('\n');
    read(windows);
    read(withBlock('name = "Mill"', { table: 'drain_test', values: TIMES }));
  });

  it('takes any words whatever, as words', () => {
    const words = fc.string({ unit: 'binary' }).filter((text) => text.isWellFormed());
    fc.assert(
      fc.property(words, (did) => {
        const values = { on: '2026-05-02', did };
        const [service] = read(withBlock(FILE, { table: 'service', values })).services;
        expect(service?.did).toBe(did);
      }),
    );
  });

  it('that cannot be is known by its key when the text is read', () => {
    const values = { ...TIMES, volume: '8', 'new\n[tank]': null };
    const result = parseWellFile(withBlock(FILE, { table: 'bucket_test', values }));
    const codes = result.ok ? [] : result.issues.map(({ code, key }) => `${code} ${key}`);
    expect(codes).toContain('missing-unit bucket_test[1].volume');
    expect(codes.length).toBe(2);
  });
});
