import { describe, expect, it } from 'vitest';
import { formatIssue, ISSUE_CODES, type WellFileIssueCode } from './issue.ts';
import { LONGEST_WELL_FILE, parseWellFile } from './parse.ts';

interface Case {
  code: WellFileIssueCode;
  /** `▶` stands where the issue must be and is taken out before reading. */
  file: string;
  key: string;
  found?: RegExp;
  expected?: RegExp;
}

const at = (file: string) => {
  const before = file.slice(0, file.indexOf('▶'));
  const lines = before.split('\n');
  return { line: lines.length, column: [...lines.at(-1)!].length + 1 };
};

const N = 'name = "x"\n';
const SERVICE = '[[service]]\non = 2026-01-01\n';
const NOON = '2026-01-01T12:00:00Z';

const CASES: Case[] = [
  { code: 'syntax', file: `${N}id = ▶unquoted\n[tank]\nvolume = "86 gal"`, key: '' },
  { code: 'syntax', file: `${N}points = ▶[["1 V"\n[tank]\nvolume = "86 gal"`, key: '' },
  { code: 'duplicate-key', file: `${N}[tank]\nvolume = "1 gal"\n▶volume = "2 gal"`, key: 'volume' },
  { code: 'duplicate-key', file: `${N}[tank]\nvolume = "1 gal"\n[▶tank]\nx = 1`, key: 'tank' },
  {
    code: 'unknown-key',
    file: `${N}[switch]\n  ▶cutin = "40 psi"`,
    key: 'switch.cutin',
    expected: /nearest is cut_in$/,
    found: /^cutin$/,
  },
  { code: 'unknown-key', file: `${N}[▶tonk]\nvolume = "1 gal"`, key: 'tonk', expected: /is tank$/ },
  { code: 'unknown-key', file: `${N}tank.▶size = "1 gal"`, key: 'tank.size' },
  {
    code: 'unknown-key',
    file: `${N}tank = { volume = { value = "1 gal", ▶unsure = "1 gal" } }`,
    key: 'tank.volume.unsure',
  },
  {
    code: 'unknown-key',
    file: `${N}${SERVICE}${SERVICE}now.tank.▶volum = "4 gal"`,
    key: 'service[2].now.tank.volum',
    expected: /nearest is volume/,
  },
  { code: 'missing-key', file: '▶id = "x"', key: 'name' },
  {
    code: 'missing-key',
    file: `${N}[[▶isolation_test]]\nstart = 2026-01-01T00:00:00Z\nstop = 2026-01-01T01:00:00Z`,
    key: 'isolation_test[1].house_valve',
    expected: /"shut" or "open"/,
  },
  { code: 'wrong-type', file: 'name = ▶7', key: 'name', found: /^7$/ },
  { code: 'wrong-type', file: `${N}tank = ▶"86 gal"`, key: 'tank' },
  { code: 'wrong-type', file: `${N}service = ▶{ on = 2026-01-01 }`, key: 'service' },
  { code: 'wrong-type', file: `${N}pump.curve = [["0 gpm", "9 ft"], ▶"x"]`, key: 'pump.curve[2]' },
  { code: 'wrong-type', file: `${N}[[service]]\non = ▶"2026-01-01"`, key: 'service[1].on' },
  { code: 'wrong-type', file: `${N}house.people = ▶"3"`, key: 'house.people' },
  {
    code: 'missing-unit',
    file: `${N}[tank]\nvolume = ▶"86"`,
    key: 'tank.volume',
    found: /^"86"$/,
    expected: /gal/,
  },
  { code: 'missing-unit', file: `${N}[tank]\nvolume = ▶86`, key: 'tank.volume', found: /^86$/ },
  { code: 'missing-unit', file: `${N}logging.columns.P = ▶"pressure"`, key: 'logging.columns.P' },
  { code: 'unknown-unit', file: `${N}[tank]\nvolume = ▶"86 gil"`, key: 'tank.volume' },
  { code: 'wrong-kind', file: `${N}[tank]\nvolume = ▶"86 psi"`, key: 'tank.volume', found: /psi/ },
  { code: 'wrong-kind', file: `${N}[tank]\nprecharge = ▶"38 psia"`, key: 'tank.precharge' },
  {
    code: 'wrong-kind',
    file: `${N}logging.columns."a b" = ▶"pressure [A]"`,
    key: 'logging.columns."a b"',
  },
  { code: 'not-a-number', file: `${N}[tank]\nvolume = ▶"big"`, key: 'tank.volume' },
  { code: 'impossible-value', file: `${N}[tank]\nvolume = ▶"-5 gal"`, key: 'tank.volume' },
  { code: 'impossible-value', file: 'name = ▶" "', key: 'name' },
  { code: 'impossible-value', file: 'name = ▶"a\\nb"', key: 'name' },
  { code: 'impossible-value', file: `${N}altitude = ▶"6001 m"`, key: 'altitude' },
  {
    code: 'impossible-value',
    file: `${N}pump.phases = ▶2`,
    key: 'pump.phases',
    expected: /1 or 3/,
  },
  {
    code: 'impossible-value',
    file: `${N}[tank]\nprecharge = ▶"110 psi"\nrated_pressure = "100 psi"`,
    key: 'tank.precharge',
    expected: /not above tank.rated_pressure = "100 psi"/,
  },
  {
    code: 'impossible-value',
    file: `${N}[switch]\ncut_out = "40 psi"\ncut_in = ▶"40 psi"`,
    key: 'switch.cut_in',
    expected: /below switch.cut_out/,
  },
  {
    code: 'impossible-value',
    file: `${N}well.static_level = ▶"300 ft"\npump.intake_depth = "200 ft"`,
    key: 'well.static_level',
  },
  {
    code: 'impossible-value',
    file: `${N}switch.cut_in = "30 psi"\n${SERVICE}[service.now]\nswitch.cut_out = ▶"25 psi"`,
    key: 'service[1].now.switch.cut_out',
    expected: /above switch.cut_in = "30 psi"/,
  },
  {
    code: 'impossible-value',
    file: `${N}pump.curve = [["0 gpm", "300 ft"], ▶["5 gpm", "310 ft"]]`,
    key: 'pump.curve[2]',
  },
  { code: 'impossible-value', file: `${N}pump.curve = ▶[["0 gpm", "300 ft"]]`, key: 'pump.curve' },
  {
    code: 'impossible-value',
    file: `${N}[pump]\nmotor = "three-phase"\nphases = ▶1`,
    key: 'pump.phases',
  },
  {
    code: 'impossible-value',
    file: `${N}tank.volume = { value = "8 gal", uncertainty = ▶"0 gal" }`,
    key: 'tank.volume.uncertainty',
  },
  { code: 'impossible-value', file: `${N}[[service]]\non = ▶2026-02-30`, key: 'service[1].on' },
  { code: 'impossible-value', file: `${N}[[service]]\non = ▶1492-01-01`, key: 'service[1].on' },
  {
    code: 'impossible-value',
    file: `${N}[[known_use]]\nbetween = ["04:00", ▶"25:00"]`,
    key: 'known_use[1].between[2]',
  },
  {
    code: 'not-one-of',
    file: `${N}pump.motor = ▶"3 wire"`,
    key: 'pump.motor',
    expected: /nearest is 3-wire$/,
  },
  {
    code: 'not-one-of',
    file: `${N}[[known_use]]\ndays = ["mon", ▶"Tue"]`,
    key: 'known_use[1].days[2]',
  },
  {
    code: 'not-one-of',
    file: `${N}logging.columns.P = ▶"presure [psi]"`,
    key: 'logging.columns.P',
  },
  { code: 'bad-id', file: `${N}id = ▶"Ridge House"`, key: 'id', expected: /"ridge-house"/ },
  { code: 'bad-time-zone', file: `${N}time_zone = ▶"Mars/Olympus"`, key: 'time_zone' },
  {
    code: 'time-twice',
    file: `${N}time_zone = "America/Denver"\n[[service]]\non = ▶2026-11-01T01:30:00`,
    key: 'service[1].on',
    expected: /once in America\/Denver/,
  },
  {
    code: 'time-never',
    file: `[[service]]\non = ▶2026-03-08 02:30:00\n`.replace(
      /^/,
      `${N}time_zone = "America/Denver"\n`,
    ),
    key: 'service[1].on',
  },
  {
    code: 'time-never',
    file: `${N}time_zone = "Pacific/Apia"\n[[service]]\non = ▶2011-12-30`,
    key: 'service[1].on',
  },
  {
    code: 'stop-before-start',
    file: `${N}[[bucket_test]]\nvolume = "5 gal"\nstart = ${NOON}\nstop = ▶${NOON}`,
    key: 'bucket_test[1].stop',
  },
];

describe('each code, with line, column and key', () => {
  for (const { code, file, key, found, expected } of CASES) {
    it(`${code}: ${key || file.split('\n')[1]}`, () => {
      const result = parseWellFile(file.replace('▶', ''));
      if (result.ok) throw new Error('taken without an issue');
      expect(result.issues).toHaveLength(1);
      const [issue] = result.issues;
      expect(issue).toMatchObject({ code, key, ...at(file) });
      if (found) expect(issue?.found).toMatch(found);
      if (expected) expect(issue?.expected).toMatch(expected);
    });
  }

  it('too-large', () => {
    const result = parseWellFile(`${N}#${'x'.repeat(LONGEST_WELL_FILE)}`);
    expect(result).toMatchObject({
      ok: false,
      issues: [{ code: 'too-large', line: 1, column: 1 }],
    });
  });

  it('leaves no code without a case', () => {
    const tried = new Set<string>([...CASES.map(({ code }) => code), 'too-large']);
    expect([...tried].sort()).toEqual(Object.keys(ISSUE_CODES).sort());
  });
});

describe('all issues at once', () => {
  it('lists every one, in the order of the file, broken lines and wrong values alike', () => {
    const result = parseWellFile(
      [
        '\ufeffname = "x"',
        'id = "X"',
        'altitude = 5000 ft',
        '[tank]',
        'volume = "86"',
        'volume = "87 gal"',
        'precharge = "38 V"',
        '[switch',
        'cut_in = "nothing"',
        '[relief]',
        'open = "75 psi"',
        '[[bucket_test]]',
        'start = 2026-01-01T00:00:00Z',
      ].join('\r\n'),
    );
    if (result.ok) throw new Error('taken without an issue');
    expect(result.issues.map(({ code, line, column }) => [code, line, column])).toEqual([
      ['bad-id', 2, 6],
      ['syntax', 3, expect.any(Number)],
      ['missing-unit', 5, 10],
      ['duplicate-key', 6, 1],
      ['wrong-kind', 7, 13],
      ['syntax', 8, expect.any(Number)],
      ['unknown-key', 11, 1],
    ]);
  });

  it('does not call a key missing that a broken line may have held', () => {
    const result = parseWellFile('name = oops\nid = "x"');
    if (result.ok) throw new Error('taken without an issue');
    expect(result.issues.map(({ code }) => code)).toEqual(['syntax']);
  });

  it('names one cause once: a misspelt key is not missing, a wrong zone has no wrong times', () => {
    const result = parseWellFile(
      [
        'nam = "x"',
        'time_zone = "Nowhere"',
        '[[bucket_test]]',
        'strat = 2026-01-01T00:00:00Z',
        'stop = 2026-01-01 00:00:00',
        'volume = "5 gal"',
        '[[service]]',
        'on = 2026-01-01',
        'service.now]',
        'tank.volume = "44 gal"',
      ].join('\n'),
    );
    if (result.ok) throw new Error('taken without an issue');
    expect(result.issues.map(({ code, line }) => [code, line])).toEqual([
      ['unknown-key', 1],
      ['bad-time-zone', 2],
      ['unknown-key', 4],
      ['syntax', 9],
    ]);
  });

  it('checks the uncertainty also where the value is wrong', () => {
    const result = parseWellFile(`${N}tank.volume = { value = "8", uncertainty = "x", on = 7 }`);
    if (result.ok) throw new Error('taken without an issue');
    expect(result.issues.map(({ code }) => code)).toEqual([
      'missing-unit',
      'not-a-number',
      'wrong-type',
    ]);
  });
});

describe('formatIssue', () => {
  it('is one line with file, line, column, key, expected and found', () => {
    const result = parseWellFile(`${N}[tank]\nvolume = "86 psi"`);
    if (result.ok) throw new Error('taken without an issue');
    expect(formatIssue(result.issues[0]!, 'a.toml')).toMatch(
      /^a\.toml:3:10: tank\.volume: expected a volume .*, found "psi.*" \[wrong-kind\]$/,
    );
  });
  it('shows no control character of the file', () => {
    const result = parseWellFile(`${N}id = "a\\u001b[31m\\nb\\u202ec"`);
    if (result.ok) throw new Error('taken without an issue');
    const line = formatIssue(result.issues[0]!, 'a\n.toml');
    expect(line).not.toMatch(/[\p{Cc}\u202e]/u);
    expect(line).toContain('\\u001b');
  });
});
