import type { Session } from '../../src/guided/session.ts';
import type { SessionView } from '../../src/guided/view.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import type { TestName } from '../../src/model/study.ts';
import { gauge } from '../../src/report/figures.ts';
import { faultWords } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { testSentences } from '../../src/report/tests-done.ts';
import { ask, ofWell } from '../data/api.ts';
import { useAsked } from '../data/use-asked.ts';
import { usePolled } from '../data/use-polled.ts';
import { useWho } from '../data/who.ts';
import { Plot } from '../drawing/plot.tsx';
import { scaleOf } from '../parts/figures.ts';
import { minutesWords } from '../parts/times.ts';
import { SAY as PAGE } from '../words.ts';
import { TestSteps } from './finding.tsx';
import { OwnerCan } from './owner-can.tsx';
import type { Shown } from './shown.ts';
import { type Act, TestUnderWay } from './test-under-way.tsx';

const SAY = PAGE.work.tests;

interface Followed {
  on: SessionView | null;
  rate: { getsS: number | null; onChange: boolean };
}

/** Tests that a person makes: the one that is on, those there are, those that were made. */
export function Tests(shown: Shown) {
  const { well, now } = shown;
  const path = ofWell(well.id, 'tests');
  const { value, unread, refused, act } = usePolled<Followed>(path);
  const on = value?.on ?? null;
  const made = useAsked(
    async () => (await ask<{ made: Session[] }>(ofWell(well.id, 'tests-made'))).body.made,
    [well.id, on === null, on?.id],
  ).value;
  if (value === null) return <p role="status">{unread ?? PAGE.reading}</p>;
  const acting: Act = (what, asked) => act(`${path}/on/${what}`, asked);
  const wanted = (test: TestName) =>
    now.findings.filter(({ nextTest }) => nextTest === test).map(({ fault }) => faultWords(fault));
  const names = (Object.keys(OWNER_TESTS) as TestName[]).sort(
    (a, b) => wanted(b).length - wanted(a).length,
  );
  return (
    <>
      <p class="refused" role="alert">
        {refused ?? ''}
      </p>
      <OwnerCan what="tests" />
      {on !== null && <TestUnderWay on={on} act={acting} shown={shown} />}
      <section>
        <h2>{SAY.choose}</h2>
        <p>{on === null ? SAY.chooseNote : SAY.oneAtATime}</p>
        <ul class="test-list">
          {names.map((test) => (
            <Test
              key={test}
              {...{ test, wanted: wanted(test), rate: value.rate, isBusy: on !== null }}
              onBegin={() => act(path, { test })}
            />
          ))}
        </ul>
      </section>
      <Made made={made ?? []} shown={shown} />
    </>
  );
}

interface TestProps {
  test: TestName;
  wanted: string[];
  rate: Followed['rate'];
  isBusy: boolean;
  onBegin(): void;
}

function Test({ test, wanted, rate, isBusy, onBegin }: TestProps) {
  const { name, takes, by, settles, readingS } = OWNER_TESTS[test];
  const { mayAct } = useWho();
  const tells = settles.map((group) => group.map(faultWords).join(' / ')).join('; ');
  const isVisit = test === 'electrician' || test === 'look';
  return (
    <li class={wanted.length > 0 ? 'asked' : ''}>
      <h3>{name}</h3>
      {wanted.length > 0 && <p class="why">{SAY.asked(wanted.join('; '))}</p>}
      <p>
        {SAY.takes(takes, SAY.by[by])} {SAY.settles(tells)}
      </p>
      {readingS !== null && <p class="caption">{rateWords(readingS, rate)}</p>}
      <details>
        <summary>
          {SAY.steps}
          <span class="spoken"> {name}</span>
        </summary>
        <TestSteps test={test} />
      </details>
      {isVisit && <p class="caption">{SAY.visit}</p>}
      {!isVisit && mayAct && (
        <button type="button" class="press" disabled={isBusy} onClick={onBegin}>
          {SAY.begin(name)}
        </button>
      )}
    </li>
  );
}

function rateWords(readingS: number, { getsS, onChange }: Followed['rate']): string {
  const needs = minutesWords(readingS);
  if (onChange) return SAY.rateOnChange;
  if (getsS === null) return SAY.rateUnknown(needs);
  return getsS <= readingS ? SAY.rateEnough(needs) : SAY.rateShort(needs, minutesWords(getsS));
}

function Made({ made, shown }: { made: readonly Session[]; shown: Shown }) {
  if (made.length === 0) return null;
  return (
    <section>
      <h2>{SAY.made}</h2>
      {made.map((one) => (
        <MadeOne key={one.id} made={one} shown={shown} />
      ))}
    </section>
  );
}

function MadeOne({ made, shown }: { made: Session; shown: Shown }) {
  const { test, begunS, state, result, trace } = made;
  const { name } = OWNER_TESTS[test];
  const when = localMoment(new Date(begunS * 1000).toISOString(), shown.figures.zone);
  return (
    <article class="made" aria-label={`${name}, ${when}`}>
      <h3>
        {name}, {when}: {state === 'kept' ? SAY.kept : SAY.givenUp}
      </h3>
      {result !== null &&
        testSentences(result, shown.figures).map((says) => <p key={says}>{says}</p>)}
      {trace !== null && trace.pressure.length > 1 && (
        <TraceOf pressure={trace.pressure} shown={shown} says={SAY.trace(name, when)} />
      )}
    </article>
  );
}

interface TraceProps {
  pressure: NonNullable<Session['trace']>['pressure'];
  shown: Shown;
  says: string;
}

function TraceOf({ pressure, shown: { figures }, says }: TraceProps) {
  const { unit, si } = scaleOf('pressure', figures);
  const fromS = pressure[0]!.timeS;
  const points = pressure.map(({ timeS, value }) => ({ x: (timeS - fromS) / 60, y: value / si }));
  const ys = pressure.map(({ value }) => value);
  const least = gauge(Math.min(...ys), 'pressure', figures);
  const greatest = gauge(Math.max(...ys), 'pressure', figures);
  return (
    <Plot
      height={150}
      x={{ least: 0, greatest: points.at(-1)!.x, unit: 'min' }}
      y={{ unit }}
      series={[{ kind: 'line', points, mark: 'trace pressure' }]}
      spoken={`${says}: ${least} – ${greatest}`}
    />
  );
}
