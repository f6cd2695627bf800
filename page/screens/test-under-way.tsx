import { useState } from 'preact/hooks';
import type { SessionView } from '../../src/guided/view.ts';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { OWNER_TESTS } from '../../src/model/owner-tests.ts';
import { gauge } from '../../src/report/figures.ts';
import { testSentences } from '../../src/report/tests-done.ts';
import { useWho } from '../data/who.ts';
import { Plot } from '../drawing/plot.tsx';
import { scaleOf } from '../parts/figures.ts';
import { minutesWords } from '../parts/times.ts';
import { SAY as PAGE } from '../words.ts';
import { Cautions } from './finding.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.tests;

export type Act = (what: string, asked: object) => Promise<boolean>;

interface Props {
  on: SessionView;
  act: Act;
  shown: Shown;
}

/** The test that is on: its steps, what the readings show of the one at hand, what to note. */
export function TestUnderWay({ on, act, shown }: Props) {
  const { name, steps } = OWNER_TESTS[on.test];
  const { mayAct } = useWho();
  const beside = new Set(steps.flatMap(({ cautions }) => cautions));
  const rest = ACT_CAUTIONS[on.test].filter((id) => !beside.has(id));
  const here = on.state === 'on' ? on.steps[on.step]?.of : undefined;
  return (
    <section class="under-way" aria-label={SAY.under(name)}>
      <h2>{SAY.under(name)}</h2>
      {on.isLeaving && <p role="status">{SAY.leaving}</p>}
      <PressureNow {...{ on, shown }} />
      {on.state === 'readings' && <Readings {...{ on, act }} />}
      <Cautions ids={rest} />
      <ol class="steps">
        {steps.map(
          ({ says, cautions }, i) =>
            on.steps.some(({ of }) => of === i) && (
              <li key={says} aria-current={here === i ? 'step' : undefined}>
                <p>
                  {says} <PassedWords on={on} of={i} />
                </p>
                <Cautions ids={cautions} />
                {here === i && <StepAtHand {...{ on, act }} />}
              </li>
            ),
        )}
      </ol>
      {mayAct && !on.isLeaving && <Figures {...{ on, act, shown }} />}
      <Outcome {...{ on, act, shown }} />
      {mayAct && on.state !== 'judged' && !on.isLeaving && (
        <p class="knobs">
          <button type="button" class="press" onClick={() => act('give-up', {})}>
            {SAY.giveUp}
          </button>
        </p>
      )}
    </section>
  );
}

function PassedWords({ on, of }: { on: SessionView; of: number }) {
  const own = on.steps.filter((step) => step.of === of);
  const last = own.at(-1)?.passedBy ?? null;
  if (last === null || own.some(({ passedBy }) => passedBy === null)) return null;
  return <em class="passed">{SAY.passed[last]}</em>;
}

function Readings({ on, act }: Pick<Props, 'on' | 'act'>) {
  const { mayAct } = useWho();
  const needs = minutesWords(OWNER_TESTS[on.test].readingS ?? 0);
  const gets = on.rate?.getsS ?? null;
  return (
    <div class="at-hand">
      <p role="status">
        {gets === null ? SAY.readingsNone(needs) : SAY.readingsWait(needs, minutesWords(gets))}
      </p>
      {mayAct && (
        <button type="button" onClick={() => act('step', { step: -1 })}>
          {SAY.readingsAnyway}
        </button>
      )}
    </div>
  );
}

/** What the step waits for, and how it is passed by hand. */
function StepAtHand({ on, act }: Pick<Props, 'on' | 'act'>) {
  const { mayAct } = useWho();
  const { watch } = on.steps[on.step]!;
  const but = on.seen?.but ?? null;
  const label = on.isLeaving ? SAY.leave : watch === 'hand' ? SAY.done : SAY.anyway;
  return (
    <div class="at-hand">
      <p aria-hidden="true">
        {seenWords(on, 1)} {but !== null && SAY.but[but]}
      </p>
      <p class="spoken" role="status">
        {seenWords(on, 60)} {but !== null && SAY.but[but]}
      </p>
      {mayAct && (
        <button
          type="button"
          class={watch === 'hand' ? 'first' : ''}
          onClick={() => act('step', { step: on.step })}
        >
          {label}
        </button>
      )}
    </div>
  );
}

/** How far the step is; told aloud once a minute only. */
function seenWords({ seen, steps, step }: SessionView, stepS: number): string {
  const { watch } = steps[step]!;
  const [exact, needs] = [seen?.has ?? 0, seen?.needs ?? 0];
  const has = watch === 'fills' ? exact : Math.floor(exact / stepS) * stepS;
  const says = SAY.seen[watch];
  if (typeof says === 'string') return says;
  return watch === 'fills'
    ? SAY.seen.fills(has, needs)
    : (says as (has: string, needs: string) => string)(minutesWords(has), minutesWords(needs));
}

/** The pressure as a gauge would show it, and the last minutes of it. */
function PressureNow({ on, shown }: Pick<Props, 'on' | 'shown'>) {
  const { figures } = shown;
  const { lately, pressurePaGauge } = on;
  const { unit, si } = scaleOf('pressure', figures);
  const lastS = lately.at(-1)?.[0] ?? 0;
  const points = lately.map(([timeS, pa]) => ({ x: (timeS - lastS) / 60, y: pa / si }));
  const ys = points.map(({ y }) => y);
  const shownAs = (of: number) => gauge(of * si, 'pressure', figures);
  return (
    <div class="pressure-now">
      <p>
        <span class="caption">{SAY.pressure}</span>
        <strong>
          {pressurePaGauge === null ? SAY.noPressure : gauge(pressurePaGauge, 'pressure', figures)}
        </strong>
      </p>
      {points.length > 1 && (
        <Plot
          height={130}
          x={{ least: -20, greatest: 0, unit: 'min' }}
          y={{ unit }}
          series={[{ kind: 'line', points, mark: 'trace pressure' }]}
          spoken={SAY.strip(shownAs(Math.min(...ys)), shownAs(Math.max(...ys)))}
        />
      )}
    </div>
  );
}

function Figures({ on, act, shown }: Props) {
  if (on.asks.length === 0) return null;
  const points = on.points.map(({ pressurePaGauge, flow }) =>
    SAY.pointAt(flow, gauge(pressurePaGauge, 'pressure', shown.figures)),
  );
  return (
    <div class="figures-typed">
      <h3>{SAY.figures}</h3>
      {on.asks.map((asks) => (
        <Figure key={asks.key} {...{ asks, on, act }} units={shown.well.units} />
      ))}
      {points.length > 0 && (
        <p>
          {SAY.points}: {points.join('; ')}
        </p>
      )}
    </div>
  );
}

interface FigureProps {
  asks: SessionView['asks'][number];
  on: SessionView;
  act: Act;
  units: 'us' | 'si';
}

function Figure({ asks, on, act, units }: FigureProps) {
  const { key, kind, isNeeded, isPoint } = asks;
  const [text, setText] = useState('');
  const noted = on.typed[key];
  const id = `figure-${key}`;
  const example = typeof kind === 'string' ? (SAY.examples[units][kind] ?? '') : '';
  const send = async (event: Event) => {
    event.preventDefault();
    const done = isPoint
      ? await act('point', { flow: text })
      : await act('figure', { key, value: text });
    if (done) setText('');
  };
  return (
    <form class="figure" onSubmit={send}>
      <label for={id}>
        {SAY.figure[key]}
        {example !== '' && <small>{SAY.withUnit(example)}</small>}
        {!isNeeded && <small>{SAY.mayBeLeft}</small>}
      </label>
      {typeof kind === 'string' ? (
        <input
          id={id}
          value={text}
          autocomplete="off"
          onInput={(event) => setText(event.currentTarget.value)}
        />
      ) : (
        <select id={id} value={text} onChange={(event) => setText(event.currentTarget.value)}>
          {['', ...kind].map((word) => (
            <option key={word} value={word}>
              {SAY.words[word] ?? ''}
            </option>
          ))}
        </select>
      )}
      <button type="submit" disabled={text.trim() === ''}>
        {isPoint ? SAY.addPoint : SAY.note}
      </button>
      {noted !== undefined && <span role="status">{SAY.noted(noted)}</span>}
    </form>
  );
}

/** All steps are done: what is missing, that it is worked out, or what came of it. */
function Outcome({ on, act, shown }: Props) {
  const { mayAct } = useWho();
  if (on.state === 'figures') {
    const names = on.missing.map((key) => SAY.figure[key]).join(', ');
    return <p role="status">{names === '' ? SAY.working : SAY.missing(names)}</p>;
  }
  if (on.state !== 'judged' || on.result === null) return null;
  return (
    <div class="outcome" role="status">
      <h3>{SAY.result}</h3>
      {testSentences(on.result, shown.figures).map((says) => (
        <p key={says}>{says}</p>
      ))}
      {mayAct && (
        <p class="knobs">
          <button type="button" class="press first" onClick={() => act('keep', {})}>
            {SAY.keep}
          </button>
          <button type="button" class="press" onClick={() => act('give-up', {})}>
            {SAY.drop}
          </button>
        </p>
      )}
    </div>
  );
}
