import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Well } from '../model/well.ts';
import { Interview } from './interview.ts';
import { QUESTIONS } from './interview-questions.ts';
import { parseWellFile } from './parse.ts';

const PSI_PA = 6894.757293168361;

/** Answers by key; the rest is not known. Fails where one is refused. */
function interviewed(answers: Record<string, string>): Interview {
  const interview = new Interview();
  for (let { question } = interview; question !== null; question = interview.question) {
    expect(interview.answer(answers[question.key] ?? ''), question.key).toBeNull();
  }
  return interview;
}

function wellOf(interview: Interview): Well {
  const parsed = parseWellFile(interview.file());
  expect(parsed.ok ? [] : parsed.issues).toEqual([]);
  if (!parsed.ok) throw new Error('no well');
  return parsed.well;
}

/** Gets to the question of a key with nothing but a name known. */
function at(key: string, answers: Record<string, string> = {}): Interview {
  const interview = new Interview();
  for (let { question } = interview; question?.key !== key; question = interview.question) {
    if (question === null) throw new Error(`no question ${key}`);
    const text = answers[question.key] ?? (question.key === 'name' ? 'Bend' : '');
    expect(interview.answer(text), question.key).toBeNull();
  }
  return interview;
}

const examples = Object.fromEntries(QUESTIONS.map(({ key, example }) => [key, example]));

describe('the questions', () => {
  it('have examples that are answers, and together a whole well', () => {
    const { equipment, energyPrice, people } = wellOf(interviewed(examples));
    expect(people).toBe(3);
    expect(energyPrice?.currency).toBe('USD');
    const { phases, ...asked } = equipment;
    expect(phases).toBeNull();
    for (const [key, value] of Object.entries(asked)) expect(value, key).not.toBeNull();
    expect(equipment.staticLevelM?.source).toBe('drillers-log');
    expect(equipment.curve).toHaveLength(2);
  });
  it('ask for the tank and the switch before pipes and cables', () => {
    const place = (key: string) => QUESTIONS.findIndex((question) => question.key === key);
    expect(place('name')).toBe(0);
    const first = ['tank.volume', 'switch.cut_in', 'switch.cut_out', 'relief.opens'].map(place);
    const last = ['pipe.length', 'cable.size', 'altitude', 'house.people'].map(place);
    expect(Math.max(...first)).toBeLessThan(Math.min(...last));
    expect(Math.min(...first)).toBeGreaterThan(0);
  });
});

describe('the file', () => {
  it('of a name alone can be read, and so can it with every example put in force', () => {
    const text = interviewed({ name: 'Bend' }).file();
    expect(wellOf(interviewed({ name: 'Bend' })).equipment.tankVolumeM3).toBeNull();
    const examplesOn = text.replaceAll(/^# (\w+ = .+)$/gm, '$1');
    expect(examplesOn).not.toBe(text);
    const parsed = parseWellFile(examplesOn);
    expect(parsed.ok ? [] : parsed.issues).toEqual([]);
  });
  it('says for every key what it is, and which is not known', () => {
    const text = interviewed({ name: 'Bend', 'tank.volume': '44 gal' }).file();
    for (const { gives } of QUESTIONS) expect(text).toContain(`# ${gives}`);
    expect(text).toMatch(/# total volume.*\nvolume = "44 gal"/);
    expect(text).toMatch(/# .*safety; not known\n# opens = "75 psi"/);
  });
  it('keeps where a figure comes from', () => {
    const sources = (text: string) =>
      wellOf(interviewed({ name: 'Bend', 'tank.volume': text })).equipment.tankVolumeM3?.source;
    expect(sources('44 gal')).toBe('nameplate');
    expect(sources('44 gal, measured')).toBe('measured');
    expect(sources('44 gal guess')).toBe('guess');
    expect(sources('44 gal, Drillers log')).toBe('drillers-log');
  });
  it('holds any name as it was given', () => {
    const names = fc.string({ unit: 'grapheme', minLength: 1, maxLength: 40 });
    fc.assert(
      fc.property(names, (given) => {
        const interview = new Interview();
        const wrong = interview.answer(given);
        if (wrong !== null) expect(wrong).toMatch(/expected .*, found /);
        else if (interview.question?.key === 'units') {
          expect(wellOf(interview).name).toBe(given.trim());
        }
      }),
      { numRuns: 200, seed: 3 },
    );
  });
});

describe('an answer', () => {
  it.each([
    ['tank.volume', '44', /expected a volume such as "86 gal".*found "44"/],
    ['tank.volume', '44 psi', /expected a volume.*found "psi \(a gauge pressure\)"/],
    ['tank.volume', 'big', /expected a volume.*found "big"/],
    ['tank.volume', '44000 gal', /expected between 0\.5 gal and 10000 gal, found "44000 gal"/],
    ['pump.motor', '4-wire', /expected one of "2-wire".*found "4-wire"/],
    ['pump.curve', '10 gpm, 300 ft', /expected points such as 0 gpm at 428 ft/],
    ['pump.curve', '0 gpm at 300 ft', /expected at least two points/],
    ['pump.curve', '0 gpm at 300 ft; 10 gpm at 400 ft', /less head than the point before/],
    ['pump.curve', '0 gpm at 300; 10 gpm at 200 ft', /expected a head of water/],
    ['house.people', 'two', /expected a whole number such as 3, found "two"/],
    ['time_zone', 'Mars/Olympus', /expected the name of a time zone.*found "Mars\/Olympus"/],
    ['name', '', /expected a name/],
  ])('to %s of "%s" is asked again with expected and found', (key, text, says) => {
    const interview = at(key);
    expect(interview.answer(text)).toMatch(says);
    expect(interview.question?.key).toBe(key);
    expect(interview.answer(examples[key] ?? '')).toBeNull();
    expect(interview.question?.key).not.toBe(key);
  });
  it('that does not go with one before says with which, and one can go back', () => {
    const interview = at('switch.cut_out', { 'switch.cut_in': '60 psi' });
    expect(interview.answer('40 psi')).toMatch(/switch\.cut_in: expected a value below/);
    expect(interview.answer('back')).toBeNull();
    expect(interview.question?.key).toBe('switch.cut_in');
    expect(interview.answer('40 psi')).toBeNull();
    expect(interview.answer('60 psi')).toBeNull();
    const { cutInPaGauge, cutOutPaGauge } = wellOf(interview).equipment;
    expect((cutInPaGauge?.value ?? 0) / PSI_PA).toBeCloseTo(40, 9);
    expect((cutOutPaGauge?.value ?? 0) / PSI_PA).toBeCloseTo(60, 9);
  });
  it('may be a word or its number', () => {
    const kind = (text: string) =>
      wellOf(interviewed({ name: 'Bend', 'pump.kind': text })).equipment.pumpKind;
    expect(kind('2')).toBe('jet');
    expect(kind('JET')).toBe('jet');
  });
  it('may be that one does not know, and done leaves the rest unknown', () => {
    for (const text of ['', '?', "Don't know", 'unknown']) {
      const interview = at('tank.volume');
      expect(interview.answer(text)).toBeNull();
      expect(interview.answer('done')).toBeNull();
      expect(interview.question).toBeNull();
      expect(wellOf(interview).equipment.tankVolumeM3).toBeNull();
    }
    expect(new Interview().answer('done')).toMatch(/expected a name/);
  });
});

/** Stands for the example of the question at hand. */
const RIGHT = '(example)';

describe('whatever is answered', () => {
  it('the file can be read, or the question is asked again with expected and found', () => {
    const likely = fc.constantFrom(
      ...QUESTIONS.map(({ example }) => example),
      ...[
        'back',
        '',
        '?',
        '44',
        '20 psi',
        '500 psi',
        '300 ft',
        '1 hp',
        '5 A',
        '2',
        'guess',
        '-3 ft',
      ],
    );
    const anything = fc.string({ unit: 'binary', maxLength: 30 });
    const weighed = [
      { weight: 4, arbitrary: fc.constant(RIGHT) },
      { weight: 4, arbitrary: likely },
      { weight: 1, arbitrary: anything },
    ];
    const answers = fc.array(fc.oneof(...weighed), {
      minLength: 25,
      maxLength: 60,
      size: 'max',
    });
    let refused = 0;
    let taken = 0;
    fc.assert(
      fc.property(answers, (given) => {
        const interview = new Interview();
        interview.answer('Bend');
        for (const text of given) {
          const before = interview.question;
          const wrong = interview.answer(text === RIGHT ? (before?.example ?? '') : text);
          if (wrong === null) taken += 1;
          else {
            refused += 1;
            expect(wrong).toMatch(/expected [\s\S]+, found [\s\S]+/);
            expect(interview.question).toBe(before);
          }
        }
        wellOf(interview);
      }),
      { numRuns: 60, seed: 4 },
    );
    expect(refused).toBeGreaterThan(300);
    expect(taken).toBeGreaterThan(600);
  });
});
