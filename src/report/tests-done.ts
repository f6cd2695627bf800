import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { Study, TestEntry } from '../model/study.ts';
import { type Figures, full, shownAs } from './figures.ts';
import { faultWords } from './head.ts';
import { hanging } from './layout.ts';
import { localMoment } from './moments.ts';
import { WORDS } from './words.ts';

/** Twenty to one in odds, and less than two to one. */
const AGAINST = -3;
const NEAR = -0.7;

/** What the tests of the well file gave: figures, and what they speak for and against. */
export function testsDoneText(study: Study, figures: Figures): string[] {
  return study.tests.flatMap((test, i) => [
    ...(i === 0 ? [] : ['']),
    ...hanging(
      '',
      WORDS.testDone(OWNER_TESTS[test.test].name, localMoment(test.start, figures.zone)),
      { indent: 2, hang: 0 },
    ),
    ...testSentences(test, figures).flatMap((text) => hanging('', text, { indent: 5, hang: 0 })),
  ]);
}

/** Faults that a test makes less likely by twenty to one and more. */
export const speaksAgainst = ({ bearing }: Pick<TestEntry, 'bearing'>): string[] =>
  bearing.filter(({ logLikelihood }) => logLikelihood <= AGAINST).map(({ fault }) => fault);

/** What one test gave, a sentence each. */
export function testSentences(
  { unusable, found, bearing }: Pick<TestEntry, 'unusable' | 'found' | 'bearing'>,
  figures: Figures,
): string[] {
  const near = bearing.filter(({ logLikelihood }) => logLikelihood > NEAR && logLikelihood <= 0);
  const best = near.map(({ fault }) => faultWords(fault)).join('; ');
  const against = speaksAgainst({ bearing }).map(faultWords).join('; ');
  return [
    ...(unusable === null ? [] : [WORDS.testUnusable(unusable)]),
    ...found.map(({ what, value, std, unit }) => {
      const { kind, counted } = shownAs(unit);
      return WORDS.testFound(what, full({ value, std }, kind, figures, counted));
    }),
    ...(best === '' ? [] : [WORDS.testFits(best)]),
    ...(against === '' ? [] : [WORDS.testUnlikely(against)]),
  ];
}
