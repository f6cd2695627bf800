import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { ChainInterview, toldOf } from '../../src/guided/chain-interview.ts';
import { CHAIN_PARTS, CHAIN_QUESTIONS, type ChainPart } from '../../src/guided/chain-questions.ts';
import type { Well } from '../../src/model/well.ts';
import { tellChain } from '../data/well-book.ts';
import { SAY as PAGE } from '../words.ts';
import { Asked } from './asked.tsx';
import { type Keeper, KeeperName, useKeeper } from './keeper-name.tsx';

const SAY = PAGE.work.chain;

/** The chain told part by part, by questions; what is not known is left out of the file. */
export function ChainQuestions({ well }: { well: Well }) {
  const [part, setPart] = useState<ChainPart | null>(null);
  const [said, setSaid] = useState('');
  const keeper = useKeeper();
  const status = useRef<HTMLParagraphElement>(null);
  const open = (one: ChainPart) => {
    setPart(one);
    setSaid('');
  };
  const over = (says: string) => {
    setPart(null);
    setSaid(says);
    // The button that was pressed is gone with the questions.
    status.current?.focus();
  };
  return (
    <section class="chain-told">
      <h3>{SAY.title}</h3>
      {part === null ? (
        <>
          <p>{SAY.intro}</p>
          <ul class="parts">
            {CHAIN_PARTS.map((one) => (
              <li key={one}>
                <button type="button" class="press" onClick={() => open(one)}>
                  {SAY.part[one]}
                </button>{' '}
                <small>{SAY.told(toldOf(one, well.sensing), CHAIN_QUESTIONS[one].length)}</small>
              </li>
            ))}
          </ul>
        </>
      ) : (
        <Part key={part} {...{ part, well, keeper, over }} />
      )}
      <p role="status" tabIndex={-1} ref={status}>
        {said}
      </p>
    </section>
  );
}

interface PartProps {
  part: ChainPart;
  well: Well;
  keeper: Keeper;
  over(says: string): void;
}

function Part({ part, well, keeper, over }: PartProps) {
  const [interview] = useState(() => new ChainInterview(part, well.sensing));
  const [wrong, setWrong] = useState<string | null>(null);
  const [, setAnswers] = useState(0);
  const head = useRef<HTMLHeadingElement>(null);
  const { question, place } = interview;
  // At once: a key pressed next must not find the focus moving.
  useLayoutEffect(() => head.current?.focus(), [question === null]);
  const answer = (text: string) => {
    setWrong(interview.answer(text));
    setAnswers((before) => before + 1);
  };
  const leave = (
    <button type="button" class="press" onClick={() => over(SAY.left)}>
      {SAY.leave}
    </button>
  );
  return (
    <>
      <h4 tabIndex={-1} ref={head}>
        {SAY.part[part]}
      </h4>
      {question === null ? (
        <Changes {...{ interview, well, keeper, over, leave }} onBack={() => answer('back')} />
      ) : (
        <>
          <Asked
            key={question.key}
            {...{ question, place, wrong, answer }}
            of={CHAIN_QUESTIONS[part].length}
            first={interview.typed(question)}
            rest={SAY.rest}
          />
          <p>{leave}</p>
        </>
      )}
    </>
  );
}

interface ChangesProps extends Omit<PartProps, 'part'> {
  interview: ChainInterview;
  leave: ComponentChildren;
  onBack(): void;
}

/** What is to be written, and that it is. */
function Changes({ interview, well, keeper, over, leave, onBack }: ChangesProps) {
  const [failure, setFailure] = useState('');
  const keys = interview.changes();
  const lines = Object.entries(keys);
  const put = async () => {
    if (keeper.name === '') return setFailure(PAGE.alarms.noName);
    try {
      await tellChain(well.id, { by: keeper.name, keys });
      keeper.keep();
      over(SAY.done);
    } catch (error) {
      setFailure(error instanceof Error ? error.message : String(error));
    }
  };
  return (
    <>
      <p>{lines.length === 0 ? SAY.nothing : SAY.changes}</p>
      <ul>
        {lines.map(([key, value]) => (
          <li key={key}>
            <code>
              {key}
              {value === null ? '' : ` = ${JSON.stringify(value)}`}
            </code>
            {value === null && ` ${SAY.out}`}
          </li>
        ))}
      </ul>
      <p class="refused" role="alert">
        {failure}
      </p>
      {lines.length > 0 && <KeeperName keeper={keeper} />}
      <p class="knobs">
        {lines.length > 0 && (
          <button type="button" class="press first" onClick={put}>
            {SAY.put}
          </button>
        )}
        <button type="button" class="press" onClick={onBack}>
          {PAGE.work.visit.again}
        </button>
        {leave}
      </p>
    </>
  );
}
