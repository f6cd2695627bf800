import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { SAY as PAGE } from '../words.ts';
import { Cautions } from './finding.tsx';

const SAY = PAGE.work.visit;

/** A question of a walk: words to choose from, or text of some kind. */
interface Question {
  key: string;
  ask: string;
  gives: string;
  answer: string | readonly string[];
  example: string;
  act?: keyof typeof ACT_CAUTIONS;
}

interface AskedProps {
  question: Question;
  place: number;
  of: number;
  /** What stands in the field at first. */
  first: string;
  mustAnswer?: boolean;
  /** What it is called to ask nothing more. */
  rest: string;
  wrong: string | null;
  /** Takes words of a walk as well: `back`, `done`, nothing for what is not known. */
  answer(text: string): void;
}

/** One question, its answer, and why the last one could not be. */
export function Asked({ question, place, of, first, mustAnswer, rest, wrong, answer }: AskedProps) {
  const { gives, act } = question;
  const [text, setText] = useState(first);
  const form = useRef<HTMLFormElement>(null);
  // At once: a key pressed next must not find the focus moving.
  useLayoutEffect(() => {
    if (place > 1) form.current?.querySelector('input')?.focus();
  }, []);
  const send = (event: Event) => {
    event.preventDefault();
    answer(text);
  };
  return (
    <form onSubmit={send} ref={form}>
      <p class="caption">{SAY.question(place, of)}</p>
      <Answer {...{ question, text, setText }} />
      <p id="good">{SAY.good(gives)}</p>
      <p class="refused" role="alert">
        {wrong ?? ''}
      </p>
      {act !== undefined && <Cautions ids={ACT_CAUTIONS[act]} />}
      <p class="knobs">
        <button type="submit" class="press first" disabled={text.trim() === ''}>
          {SAY.next}
        </button>
        <button
          type="button"
          class="press"
          disabled={mustAnswer === true}
          onClick={() => answer('')}
        >
          {SAY.dontKnow}
        </button>
        <button type="button" class="press" disabled={place === 1} onClick={() => answer('back')}>
          {SAY.back}
        </button>
        <button type="button" class="press" disabled={place === 1} onClick={() => answer('done')}>
          {rest}
        </button>
      </p>
    </form>
  );
}

interface AnswerProps {
  question: Question;
  text: string;
  setText(text: string): void;
}

/** Words to choose from, or a field. */
function Answer({ question: { ask, answer: kind, example }, text, setText }: AnswerProps) {
  if (typeof kind === 'string')
    return (
      <p class="figure">
        <label for="answer">
          {ask}
          <small>{SAY.example(example)}</small>
        </label>
        <input
          id="answer"
          value={text}
          autocomplete="off"
          aria-describedby="good"
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </p>
    );
  return (
    <fieldset>
      <legend>{ask}</legend>
      {kind.map((word) => (
        <p key={word}>
          <label>
            <input
              type="radio"
              name="answer"
              checked={text === word}
              onChange={() => setText(word)}
            />{' '}
            {word}
          </label>
        </p>
      ))}
    </fieldset>
  );
}
