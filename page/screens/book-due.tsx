import type { Reminder } from '../../src/model/book.ts';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import type { Well } from '../../src/model/well.ts';
import { dateTime } from '../parts/times.ts';
import { SAY } from '../words.ts';
import { WRITE_PLACE } from './book-write.tsx';
import { Cautions, TestSteps } from './finding.tsx';

const say = SAY.book.due;

interface DueProps {
  well: Well;
  /** Asks for a water sample where the book is written; null for who looks only. */
  sample: (() => void) | null;
  all: readonly Reminder[];
  nowS: number;
}

/** What comes round every year: told, and no more. */
export function BookDue({ well, sample, all, nowS }: DueProps) {
  const date = (at: string) => dateTime(Date.parse(at) / 1000, well.timeZone, Infinity);
  const isDue = ({ due }: Reminder) => due !== null && Date.parse(due) / 1000 <= nowS;
  const when = (one: Reminder): string => {
    const { last, due, opened } = one;
    if (due === null) return say.never;
    if (opened) return say.opened(date(due));
    const says = isDue(one) ? say.since(date(due)) : say.by(date(due));
    return last === null ? says : `${say.last(date(last))}, ${says}`;
  };
  return (
    <section class="due" aria-label={say.title}>
      <h2>{say.title}</h2>
      <ul>
        {all.map((one) => (
          <li key={one.name} class={isDue(one) ? 'asks' : ''}>
            <strong>{say.names[one.name]}</strong>: {when(one)}{' '}
            <Go name={one.name} {...{ well, sample }} />
            <details>
              <summary>
                {say.how}
                <span class="spoken">: {say.names[one.name]}</span>
              </summary>
              <How name={one.name} />
            </details>
          </li>
        ))}
      </ul>
      <p class="caption">{say.note}</p>
    </section>
  );
}

type GoProps = Pick<DueProps, 'well' | 'sample'> & Pick<Reminder, 'name'>;

/** The way to where it is done. */
function Go({ name, well, sample }: GoProps) {
  if (name === 'water-sample')
    return sample === null ? null : (
      <a href={`#${WRITE_PLACE}`} onClick={sample}>
        {say.writeSample}
      </a>
    );
  const { goTo } = SAY.work.visit;
  const sheet = name === 'air-charge' ? 'tests' : 'gauges';
  return <a href={`/wells/${well.id}/${sheet}`}>{goTo[sheet]}</a>;
}

function How({ name }: { name: Reminder['name'] }) {
  if (name === 'air-charge')
    return (
      <>
        <TestSteps test="precharge" />
        <p>{SAY.condition.takes(OWNER_TESTS.precharge.takes)}</p>
      </>
    );
  if (name === 'water-sample')
    return (
      <>
        <p>{say.sample}</p>
        <Cautions ids={['disinfect-and-sample']} />
      </>
    );
  const acts = [...ACT_CAUTIONS['compare-pressure-gauge'], ...ACT_CAUTIONS['read-clamp-meter']];
  return (
    <>
      <p>{say.calibration}</p>
      <Cautions ids={acts} />
    </>
  );
}
