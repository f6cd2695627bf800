import type { QuestionAnswer, Sampling } from './types.ts';

interface Question {
  question: string;
  needsS: number;
  /** Which interval counts. */
  when: 'rest' | 'running';
  because: string;
  /** A channel of the device that answers it at any interval. */
  device?: 'startTime' | 'currentPeak';
}

/** From durations that the trade meets; half of each, so that two readings fall within. */
const QUESTIONS: readonly Question[] = [
  {
    question: 'whether water leaves steadily at rest',
    needsS: 300,
    when: 'rest',
    because: 'a rest is seldom shorter than ten minutes',
  },
  {
    question: 'when water is drawn',
    needsS: 10,
    when: 'rest',
    because: 'a short draw takes 20 s',
  },
  {
    question: "the tank's air charge from the fall below it",
    needsS: 2,
    when: 'rest',
    because: 'an empty tank loses its pressure in 4 s and more',
  },
  {
    question: 'how long the pump runs',
    needsS: 3,
    when: 'running',
    because: 'a run of 60 s is to be known to 5 %',
  },
  {
    question: 'whether the pump cycles fast',
    needsS: 2,
    when: 'running',
    because: 'a fast cycle takes 4 s and less',
  },
  {
    question: 'the step of pressure at start and stop',
    needsS: 1,
    when: 'running',
    because: 'what follows it, the gas in the tank, settles over 20 s and more',
  },
  {
    question: 'how long a start takes',
    needsS: 0.09,
    when: 'running',
    because: 'a healthy start takes 0.18 s; or the device reports start-time',
    device: 'startTime',
  },
  {
    question: 'the current of a start',
    needsS: 0.09,
    when: 'running',
    because: 'it is there for 0.18 s; or the device reports current-peak',
    device: 'currentPeak',
  },
  {
    question: 'whether the pipes hammer',
    needsS: 0.12,
    when: 'running',
    because: 'they ring four times a second for 0.3 to 1 s',
  },
];

/** Each question with the interval it needs and whether the device's is short enough. */
export function answersOf(sampling: Sampling | null): QuestionAnswer[] {
  return QUESTIONS.map(({ question, needsS, when, because, device }) => {
    const atRest = sampling?.intervalS ?? null;
    const hasS = when === 'rest' ? atRest : (sampling?.runningIntervalS ?? atRest);
    if (device !== undefined && sampling?.[device]) {
      return { question, needsS, hasS, answerable: true, because };
    }
    return { question, needsS, hasS, answerable: hasS === null ? null : hasS <= needsS, because };
  });
}
