import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Tally } from './collector.ts';
import { CsvLog, LONGEST_ROW } from './csv-log.ts';
import { LogError, type LogOptions } from './log-types.ts';

const PSI = 6894.757293168361;
const options: LogOptions = { timeZone: 'America/Denver', atmospherePa: 83_000, columns: {} };

/** Reads text in pieces of the sizes given, over and over. */
function read(
  text: string | Uint8Array,
  over: Partial<LogOptions> = {},
  sizes = [1e9],
  cut = false,
) {
  const bytes = typeof text === 'string' ? new TextEncoder().encode(text) : text;
  const tally = new Tally();
  const log = new CsvLog('a.csv', { ...options, ...over }, tally);
  const readings: number[][] = [];
  const take = () => {
    const batch = log.out?.batch;
    for (let i = 0; i < (batch?.count ?? 0); i++) {
      readings.push([batch!.timeS[i]!, batch!.channel[i]!, batch!.value[i]!]);
    }
    log.out?.clear();
  };
  for (let at = 0, k = 0; at < bytes.length; k++) {
    const size = sizes[k % sizes.length]!;
    log.push(bytes.subarray(at, at + size));
    take();
    at += size;
  }
  log.finish(cut);
  take();
  const offered = tally.offered.reduce((a, b) => a + b, 0);
  const tallies = tally.tallies();
  const aside = tallies.reduce((sum, { count }) => sum + count, 0);
  expect(readings.length + aside).toBe(offered);
  expect(tally.used).toBe(readings.length);
  const firstAt = Object.fromEntries(tallies.map(({ reason, firstAt: at }) => [reason, at]));
  const counts = Object.fromEntries(tallies.map(({ reason, count }) => [reason, count]));
  return { readings, counts, firstAt, told: log.told(), offered };
}

const psi = (...rows: [number, number][]) => rows.map(([t, v]) => [t, 0, v * PSI]);

function problemsOf(text: string) {
  try {
    read(text);
  } catch (error) {
    if (error instanceof LogError) return error.problems;
    throw error;
  }
  return [];
}

describe('forms of CSV', () => {
  it('reads the plain wide form; an empty cell is no reading', () => {
    const { readings, counts } = read(
      'time,pressure [psi],current [A]\n1775433600,58.45,0.04\n1775433605,,7.9\n1775433610,58.4,\n',
    );
    expect(counts).toEqual({});
    expect(readings).toEqual([
      [1775433600, 0, 58.45 * PSI],
      [1775433600, 1, 0.04],
      [1775433605, 1, 7.9],
      [1775433610, 0, 58.4 * PSI],
    ]);
  });

  it('reads every line end, blank lines, a byte-order mark and quoted cells', () => {
    const row = (end: string) =>
      `\ufeff${end}"time","note","pressure [psi]"${end}1775433600,"a ""b"",\nc","58.5"` +
      `${end}${end}"1775433605",,58${end}`;
    for (const end of ['\n', '\r\n', '\r']) {
      expect(read(row(end)).readings).toEqual(psi([1775433600, 58.5], [1775433605, 58]));
    }
  });

  it('reads semicolons and tabs with a decimal comma, and tells the separator', () => {
    for (const [separator, name] of [
      [';', 'semicolon'],
      ['\t', 'tab'],
    ]) {
      const { readings, told } = read(
        `time${separator}pressure [kPa]\n1775433600,5${separator}400,25\n` +
          `1775433605${separator}401.5\n`,
      );
      expect(readings).toEqual([
        [1775433600.5, 0, 400_250],
        [1775433605, 0, 401_500],
      ]);
      expect(told).toContain(`the separator is the ${name}`);
    }
  });

  it('reads the long form, with the unit in its column or in the name', () => {
    const { readings, counts, firstAt } = read(
      'time,name,value,unit\n1775433600,pressure,58.45,psi\n1775433600,current,0.04,A\n' +
        '1775433605,"pressure [psi]",58.4,\n1775433605,humidity,40,%\n1775433606,pressure,58,A\n' +
        '1775433606,pressure,58,\n1775433607,,58,psi\n1775433607,current,,A\n',
    );
    expect(readings).toEqual([
      [1775433600, 0, 58.45 * PSI],
      [1775433600, 1, 0.04],
      [1775433605, 0, 58.4 * PSI],
    ]);
    expect(counts).toEqual({ 'unknown-channel': 1, 'wrong-unit': 2, 'missing-cell': 2 });
    expect(firstAt['wrong-unit']).toEqual(['a.csv:6', 'a.csv:7']);
  });

  it('takes the pressure of the air off absolute readings', () => {
    const { readings } = read('time,pressure [psia]\n1775433600,70\n');
    expect(readings[0]![2]).toBeCloseTo(70 * PSI - 83_000, 6);
  });

  it('reads foreign headings that are named, and tells which columns it did not read', () => {
    const { readings, told } = read('When,Line P (psi),Humidity\n1775433600,58.5,40\n', {
      columns: { When: 'time', 'Line P (psi)': 'pressure [psi]' },
    });
    expect(readings).toEqual(psi([1775433600, 58.5]));
    expect(told).toContain("column 3 'Humidity' is no channel and was not read");
  });
});

describe('trouble', () => {
  it('sets aside what it cannot read, by line, and reads on', () => {
    const { readings, counts, firstAt } = read(
      'time,pressure [psi],current [A]\nnever,58,0.1\n1775433600,58..1,x\n1775433605,NaN,0.1\n' +
        '2026-03-08 02:30:00,58,\n1775433610,58,0,1\n1775433615,5"8,0.1\n1775433620,"58"x,0.1\n' +
        '1775433625,58,0.1\n',
    );
    expect(counts).toEqual({
      'unreadable-time': 2,
      'unreadable-value': 2 + 2 + 1 + 2,
      'no-such-local-time': 1,
      'not-finite': 1,
    });
    expect(firstAt['unreadable-time']).toEqual(['a.csv:2']);
    expect(firstAt['unreadable-value']).toEqual(['a.csv:3', 'a.csv:6', 'a.csv:7', 'a.csv:8']);
    expect(readings.map(([t, c]) => [t, c])).toEqual([
      [1775433605, 1],
      [1775433615, 1],
      [1775433625, 0],
      [1775433625, 1],
    ]);
  });

  it('sets half a last line aside, and takes a whole one without its line end', () => {
    const start = 'time,pressure [psi],current [A]\n1775433600,58.45,0.04\n';
    const whole = read(`${start}1775433605,58.40,0.05`);
    expect(whole.counts).toEqual({});
    expect(whole.readings).toHaveLength(4);
    for (const half of ['1775433605,58.40,0.0', '1775433605,58.4', '1775433605,58.40,', '17754']) {
      const { readings, counts, firstAt } = read(start + half);
      expect(counts['cut-line'] ?? 0).toBe(half.endsWith('0.0') ? 2 : half.endsWith(',') ? 0 : 1);
      if (!half.endsWith(',')) expect(firstAt['cut-line']).toEqual(['a.csv:3']);
      expect(readings).toHaveLength(half.endsWith(',') ? 3 : 2);
    }
    const known = read(`${start}1775433605,58.40,0.05`, {}, [1e9], true);
    expect(known.counts).toEqual({ 'cut-line': 2 });
  });

  it('loses one line to a quote that never closes, or to a line too long to be a row', () => {
    const head = 'time,pressure [psi]\n1775433600,58\n';
    const open = read(`${head}1775433605,"58\n1775433610,58\n`);
    expect(open.counts).toEqual({ 'unreadable-value': 1 });
    expect(open.readings).toHaveLength(2);
    const long = read(`${head}${'7'.repeat(3 * LONGEST_ROW)}\r\n1775433610,58\n`, {}, [50_000]);
    expect(long.counts).toEqual({ 'unreadable-value': 1 });
    expect(long.readings).toEqual(psi([1775433600, 58], [1775433610, 58]));
  });

  it('names file, line, column, what was expected and what was found in the first row', () => {
    expect(problemsOf('')).toEqual([
      {
        code: 'empty-log',
        says:
          "a.csv: expected a first row such as 'time,pressure [psi],current [A]', " +
          'found an empty file',
      },
    ]);
    expect(problemsOf('\ntime,pressure\n')).toEqual([
      {
        code: 'column-unit',
        says:
          "a.csv: line 2: column 2 'pressure': expected a unit of pressure or " +
          "absolute-pressure, as in 'pressure [psi]', found no unit",
      },
    ]);
    const codes = (text: string) => problemsOf(text).map(({ code }) => code);
    expect(codes('time,pressure [A],current [furlong]\n')).toEqual(['column-unit', 'column-unit']);
    expect(codes('pressure [psi]\n')).toEqual(['no-time-column']);
    expect(codes('time,humidity\n')).toEqual(['no-channel-column']);
    expect(codes('time,pressure [psi],pressure [kPa]\n')).toEqual(['column-twice']);
    expect(codes('uptime [ms],pressure [psi]\n')).toEqual(['no-time-column']);
    expect(codes('uptime,boot,pressure [psi]\n')).toEqual(['column-unit']);
    expect(codes(`time,${'x,'.repeat(1100)}pressure [psi]\n`)).toEqual(['too-many-columns']);
    expect(codes('garbage\u0000\u0001')).toEqual(['no-time-column']);
  });
});

describe('uptime', () => {
  it('takes times from rows that have both, backwards and forwards, boot by boot', () => {
    const { readings, counts } = read(
      'time,boot,uptime [ms],pressure [psi]\n,1,1000,50\n,1,2000,51\n' +
        '1775433610,1,10000,52\n,1,12500,53\n' +
        ',2,500,54\n1775433700,2,1500,55\n,3,100,56\n',
    );
    expect(readings).toEqual(
      psi(
        [1775433601, 50],
        [1775433602, 51],
        [1775433610, 52],
        [1775433612.5, 53],
        [1775433699, 54],
        [1775433700, 55],
      ),
    );
    expect(counts).toEqual({ 'no-anchor': 1 });
  });

  it('goes on where the 32-bit counter starts again, little disorder included', () => {
    const rows = [4_294_960_000, 4_294_967_000, 500, 4_294_967_200, 1000];
    const { readings } = read(
      `time,boot,uptime [ms],pressure [psi]\n1775433600,1,4294950000,50\n${rows
        .map((ms) => `,1,${ms},50`)
        .join('\n')}\n`,
    );
    const expected = [0, 10, 17, 17.796, 17.2, 18.296].map((s) => 1775433600 + s);
    for (const [i, [t]] of readings.entries()) expect(t).toBeCloseTo(expected[i]!, 3);
  });

  it('does not take the time of a clock that was never set for an anchor', () => {
    const { readings } = read(
      'time,boot,uptime [ms],pressure [psi]\n3,1,3000,50\n1775433610,1,10000,52\n',
    );
    expect(readings).toEqual(psi([1775433603, 50], [1775433610, 52]));
  });
});

const csvBytes = fc
  .array(
    fc.oneof(
      fc.constantFrom('1775433600,58.45,0.04\n', '1775433605,"58.4",\r\n', ',,\n', '"', '\r', '\n'),
      fc.constantFrom(',', 'x', '2026-11-01 01:30:00,5,5\n', '"a\n"', '""', '1775433700,,1e3'),
      fc.string({ maxLength: 6 }),
    ),
    { maxLength: 40 },
  )
  .map((parts) => new TextEncoder().encode(`time,pressure [psi],current [A]\n${parts.join('')}`));

describe('properties', () => {
  it('any cutting into pieces gives the same readings and counts', () => {
    const sizes = fc.array(fc.integer({ min: 1, max: 30 }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(csvBytes, sizes, (bytes, cuts) => {
        expect(read(bytes, {}, cuts)).toEqual(read(bytes));
      }),
      { numRuns: 300 },
    );
  });

  it('any bytes are read to the end, or refused with a reason', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        try {
          read(bytes, {}, [7]);
        } catch (error) {
          expect(error).toBeInstanceOf(LogError);
        }
      }),
    );
  });

  it('any bytes after a good first row lose nothing uncounted', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (tail) => {
        const head = new TextEncoder().encode('time,pressure [psi]\n1775433600,50\n');
        const { readings } = read(Uint8Array.from([...head, ...tail]), {}, [11]);
        expect(readings[0]).toEqual([1775433600, 0, 50 * PSI]);
      }),
    );
  });
});
