import { useState } from 'preact/hooks';
import { Interview } from '../../src/wellfile/interview.ts';
import { QUESTIONS } from '../../src/wellfile/interview-questions.ts';
import { tell } from '../data/api.ts';
import { useWho } from '../data/who.ts';
import { SAY as PAGE } from '../words.ts';
import { Asked } from './asked.tsx';
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

const zoneHere = () => Intl.DateTimeFormat().resolvedOptions().timeZone ?? '';

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
        <Asked
          key={question.key}
          {...{ question, place, wrong, answer }}
          of={QUESTIONS.length}
          // The one thing that the browser knows.
          first={question.key === 'time_zone' ? zoneHere() : ''}
          mustAnswer={question.key === 'name'}
          rest={SAY.rest}
        />
      )}
    </main>
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
