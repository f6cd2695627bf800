import fc from 'fast-check';
import { parse } from 'smol-toml';
import { describe, expect, it } from 'vitest';
import { withKeys } from './with-keys.ts';

const FILE = `# kept by the kitchen door
name = "Mill" # not the old one

[sensing.pressure]
# from the label
range = "150 psi" # the second one
output = [
  "0.5 V", # at rest
  "4.5 V",
]

[tank]
volume = "44 gal"
`;

/** Lines of one text that the other lacks. */
const lost = (from: string, to: string) => {
  const there = to.split('\n');
  return from.split('\n').filter((line) => !there.includes(line));
};

describe('keys put into a table', () => {
  it('stand beside those that were there, and every other line stays', () => {
    const text = withKeys(FILE, 'sensing', { 'pressure.supply': '5 V', 'bus.logic': '3.3 V' })!;
    expect(parse(text)).toEqual({
      ...parse(FILE),
      sensing: {
        pressure: { range: '150 psi', output: ['0.5 V', '4.5 V'], supply: '5 V' },
        bus: { logic: '3.3 V' },
      },
    });
    expect(lost(FILE, text)).toEqual([]);
    expect(text.indexOf('supply')).toBeLessThan(text.indexOf('[tank]'));
  });

  it('take the place of what was there, with the note behind it', () => {
    const text = withKeys(FILE, 'sensing', { 'pressure.range': '100 psi' })!;
    expect(text).toBe(FILE.replace('150 psi', '100 psi'));
    const output = withKeys(FILE, 'sensing', { 'pressure.output': ['0 V', '5 V'] })!;
    expect(lost(FILE, output)).toEqual(['output = [', '  "0.5 V", # at rest', '  "4.5 V",', ']']);
  });

  it('are taken out, and a note behind them stays', () => {
    const text = withKeys(FILE, 'sensing', { 'pressure.range': null, 'pressure.noise': null })!;
    expect(lost(FILE, text)).toEqual(['range = "150 psi" # the second one']);
    expect(text).toContain('# from the label\n# the second one\noutput');
    expect(withKeys(FILE, 'sensing', { 'bus.speed': null })).toBe(FILE);
  });

  it.each([
    ['dotted', 'name = "A"\n[sensing]\n  bus.wire = "1 m"\n  bus.speed = "100 kHz"\n[tank]\n'],
    ['from the root', 'sensing.bus.wire = "1 m"\nname = "A"'],
    ['in braces', 'name = "A"\nsensing = { bus = { wire = "1 m" }, fitted = 2026-04-01 }\n'],
    ['in empty braces', 'name = "A"\n[sensing]\nbus = {}\n'],
    ['an empty table', 'name = "A"\n[ sensing . bus ] # later\n'],
    ['not at all', 'name = "A"'],
    ['nothing', ''],
    ['with the ends of another system', '[sensing.bus]\r\nwire = "1 m"\r\n[tank]\r\n'],
  ])('where the table is written %s', (_, text) => {
    const bus = { 'bus.wire': '2 m', 'bus.logic': '5 V', 'bus.speed': null };
    const changed = withKeys(text, 'sensing', bus)!;
    const { sensing, ...rest } = parse(changed);
    expect(sensing).toMatchObject({ bus: { wire: '2 m', logic: '5 V' } });
    expect((sensing as { bus: object }).bus).not.toHaveProperty('speed');
    expect(rest).toEqual({ ...parse(text), sensing: undefined });
    expect(/[^\r]\n/.test(changed)).toBe(!text.includes('\r'));
  });

  it('are refused where the way it is written does not let them in', () => {
    expect(withKeys('sensing = 3\n', 'sensing', { 'bus.wire': '1 m' })).toBeNull();
    expect(withKeys('[[sensing]]\n', 'sensing', { 'bus.wire': '1 m' })).toBeNull();
    expect(withKeys('[sensing]\nbus = "none"\n', 'sensing', { 'bus.wire': '1 m' })).toBeNull();
  });

  it('say what was asked for whatever the text, or are refused', () => {
    const leaf = fc.constantFrom('wire = "1 m"', 'wire = "1 m" # w', 'logic = "5 V"\nwire = "2 m"');
    const texts = fc
      .array(
        fc.oneof(
          fc.constantFrom(
            '# [sensing.bus]',
            '',
            '[tank]\nvolume = "4 gal"',
            'x = """\n[sensing.bus]\n"""',
          ),
          leaf.map((pairs) => `[sensing.bus]\n${pairs}`),
          leaf.map((pairs) => `[sensing]\n${pairs.replaceAll(/^(?=\w)/gm, 'bus.')}`),
        ),
        { maxLength: 4 },
      )
      .map((parts) => parts.join('\n'))
      .filter((text) => {
        try {
          return parse(text) !== null;
        } catch {
          return false;
        }
      });
    let made = 0;
    fc.assert(
      fc.property(texts, fc.constantFrom('7 m', null), (text, wire) => {
        const changed = withKeys(text, 'sensing', { 'bus.wire': wire, 'bus.speed': '100 kHz' });
        if (changed === null) return;
        made += 1;
        const { bus } = parse(changed).sensing as { bus: Record<string, unknown> };
        expect(bus.wire ?? null).toBe(wire);
        expect(bus.speed).toBe('100 kHz');
        expect(lost(text, changed).every((line) => /wire/.test(line))).toBe(true);
      }),
      { numRuns: 200, seed: 9 },
    );
    expect(made).toBeGreaterThan(180);
  });
});
