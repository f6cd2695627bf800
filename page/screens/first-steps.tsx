import { useState } from 'preact/hooks';
import type { GaugeNow } from '../../src/guided/gauges.ts';
import { ofWell } from '../data/api.ts';
import { usePolled } from '../data/use-polled.ts';
import { useWho } from '../data/who.ts';
import { BUCKET_TESTS, firstSteps } from '../parts/first-steps.ts';
import { clockTime } from '../parts/times.ts';
import { SAY as PAGE } from '../words.ts';
import { Pairing } from './pairing.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.visit;

interface Listing {
  wells: { well: string; readings: number; last: string | null }[];
}

/** What is to be done at a well that is new; folded once what its pump gives is learnt. */
export function FirstSteps(shown: Shown) {
  const [open, setOpen] = useState(false);
  const isLearnt = (shown.outline?.pump.length ?? 0) > 0;
  if (!isLearnt) return <Steps {...shown} />;
  return (
    <details class="first-steps" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{SAY.steps}</summary>
      {open && <Steps {...shown} />}
    </details>
  );
}

/** Where its device hands in, the first reading as it arrives, and what to do in order. */
function Steps({ well, outline }: Shown) {
  const { mayAct } = useWho();
  const gauges = usePolled<{ gauges: GaugeNow[] }>(ofWell(well.id, 'gauges')).value?.gauges ?? [];
  const wells = usePolled<Listing>('/wells').value?.wells ?? [];
  const listed = wells.find((one) => one.well === well.id);
  const of = (channel: 'pressure' | 'current') => gauges.find((one) => one.channel === channel);
  const isRaw = (channel: 'pressure' | 'current') => (of(channel)?.now ?? null) !== null;
  const has = (channel: 'pressure' | 'current') =>
    isRaw(channel) ||
    (of(channel)?.plain ?? null) !== null ||
    (outline?.span.readings[channel] ?? 0) > 0;
  const steps = firstSteps(well, outline, {
    ...{ pressure: has('pressure'), current: has('current') },
    ...{ rawPressure: isRaw('pressure'), rawCurrent: isRaw('current') },
  });
  const [count, last] = [listed?.readings ?? 0, listed?.last ?? null];
  return (
    <>
      <Pairing well={well} />
      <p role="status" class={last === null ? 'arrival' : 'spoken'}>
        {last === null ? SAY.waiting : SAY.arrive}
      </p>
      {last !== null && <p class="arrival">{SAY.arrived(count, clockTime(last, well.timeZone))}</p>}
      <section>
        <h2>{SAY.steps}</h2>
        <p>{SAY.stepsNote}</p>
        <ol class="steps">
          {steps.map(({ name, state, made = 0, sheet }) => (
            <li key={name}>
              <p>
                <strong>{SAY.step[name].what}</strong>{' '}
                <em class={state === 'done' ? 'passed' : 'caption'}>
                  {state === 'open' && made > 0 ? SAY.madeOf(made, BUCKET_TESTS) : SAY[state]}
                </em>
              </p>
              <p>
                {SAY.tells(SAY.step[name].tells)}{' '}
                {sheet !== null && <a href={`/wells/${well.id}/${sheet}`}>{SAY.goTo[sheet]}</a>}
              </p>
            </li>
          ))}
        </ol>
        {mayAct && (
          <p>
            <a href="/new">{SAY.add}</a>
          </p>
        )}
      </section>
    </>
  );
}
