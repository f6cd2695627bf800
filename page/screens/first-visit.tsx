import { useEffect, useRef, useState } from 'preact/hooks';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { Interview } from '../../src/wellfile/interview.ts';
import { QUESTIONS, type Question } from '../../src/wellfile/interview-questions.ts';
import { tell } from '../data/api.ts';
import { useWho } from '../data/who.ts';
import { SAY as PAGE } from '../words.ts';
import { Cautions } from './finding.tsx';
import { OwnerCan } from './owner-can.tsx';

const SAY = PAGE.work.visit;

/** The first sheet of a service without a well, and of a further well; for the owner to fill in. */
export function FirstVisit({ isFirst, onMade }: { isFirst: boolean; onMade: MadeProps['onMade'] }) {
  const { mayAct } = useWho();
  if (mayAct) return <Questions onMade={onMade} />;
  return (
    <main class="plain" id="sheet">
      <h1>{SAY.title}</h1>
      <OwnerCan what={isFirst ? 'visit' : 'newWell'} />
    </main>
  );
}

interface MadeProps {
  onMade(wellId: string): void;
}

/** Questions that make a well file, what matters first; then the file, and the well is made. */
function Questions({ onMade }: MadeProps) {
  const [interview] = useState(() => new Interview());
  const [place, setPlace] = useState(1);
  const [wrong, setWrong] = useState<string | null>(null);
  const { question } = interview;
  const answer = (text: string) => {
    const refused = interview.answer(text);
    setWrong(refused);
    if (refused === null) setPlace(interview.place);
  };
  return (
    <main class="sheet first-visit" id="sheet">
      <h1 tabIndex={-1}>{SAY.title}</h1>
      {place === 1 && <p>{SAY.intro}</p>}
      {question === null ? (
        <WholeFile text={interview.file()} onBack={() => answer('back')} onMade={onMade} />
      ) : (
        <Asked key={question.key} {...{ question, place, wrong, answer }} />
      )}
    </main>
  );
}

interface AskedProps {
  question: Question;
  place: number;
  wrong: string | null;
  answer(text: string): void;
}

function Asked({ question, place, wrong, answer }: AskedProps) {
  const { gives, act } = question;
  // The one thing that the browser knows.
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone ?? '';
  const [text, setText] = useState(question.key === 'time_zone' ? zone : '');
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    if (place > 1) form.current?.querySelector('input')?.focus();
  }, []);
  const send = (event: Event) => {
    event.preventDefault();
    answer(text);
  };
  return (
    <form onSubmit={send} ref={form}>
      <p class="caption">{SAY.question(place, QUESTIONS.length)}</p>
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
          disabled={question.key === 'name'}
          onClick={() => answer('')}
        >
          {SAY.dontKnow}
        </button>
        <button type="button" class="press" disabled={place === 1} onClick={() => answer('back')}>
          {SAY.back}
        </button>
        <button type="button" class="press" disabled={place === 1} onClick={() => answer('done')}>
          {SAY.rest}
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

interface WholeFileProps extends MadeProps {
  text: string;
  onBack(): void;
}

function WholeFile({ text, onBack, onMade }: WholeFileProps) {
  const [failure, setFailure] = useState<string | null>(null);
  const make = async () => {
    try {
      onMade((await tell<{ well: string }>('/wells', { text })).well);
    } catch (error) {
      setFailure(error instanceof Error ? error.message : String(error));
    }
  };
  return (
    <section>
      <h2>{SAY.file}</h2>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keys */}
      <pre class="lines" tabIndex={0}>
        {text}
      </pre>
      <p class="refused" role="alert">
        {failure ?? ''}
      </p>
      <p class="knobs">
        <button type="button" class="press first" onClick={make}>
          {SAY.make}
        </button>
        <button type="button" class="press" onClick={onBack}>
          {SAY.again}
        </button>
      </p>
    </section>
  );
}
