import type { Reminder } from '../../src/model/book.ts';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import { dateTime } from '../parts/times.ts';
import { SAY } from '../words.ts';
import { Cautions, TestSteps } from './finding.tsx';

const say = SAY.book.due;

interface DueProps {
  all: readonly Reminder[];
  zone: string;
  nowS: number;
}

/** What comes round every year: told, and no more. */
export function BookDue({ all, zone, nowS }: DueProps) {
  const date = (at: string) => dateTime(Date.parse(at) / 1000, zone, Infinity);
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
            <strong>{say.names[one.name]}</strong>: {when(one)}
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
