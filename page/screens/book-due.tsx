import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import type { Reminder } from '../../src/report/reminders.ts';
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
  const date = (atS: number) => dateTime(atS, zone, Infinity);
  const when = ({ lastS, dueS, opened }: Reminder): string => {
    if (dueS === null) return say.never;
    if (opened) return say.opened(date(dueS));
    const due = dueS <= nowS ? say.since(date(dueS)) : say.by(date(dueS));
    return lastS === null ? due : `${say.last(date(lastS))}, ${due}`;
  };
  return (
    <section class="due" aria-label={say.title}>
      <h2>{say.title}</h2>
      <ul>
        {all.map((one) => (
          <li key={one.name} class={one.dueS !== null && one.dueS <= nowS ? 'asks' : ''}>
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
