import { median } from '../../src/base/median.ts';
import { localDate } from '../../src/base/zone.ts';
import { isWhole, type RunEntry } from '../../src/model/study.ts';
import { levelDrop, lost, used } from '../../src/report/day-quantities.ts';
import {
  type Estimate,
  type Figures,
  full,
  fullVolume,
  gauge,
  known,
} from '../../src/report/figures.ts';
import { hoursMinutes, localMoment } from '../../src/report/moments.ts';
import { askAll } from '../data/api.ts';
import { askPeriods } from '../data/days.ts';
import { useAsked } from '../data/use-asked.ts';
import { Recorder } from '../drawing/recorder.tsx';
import { Section } from '../drawing/section.tsx';
import { flowWords } from '../parts/flow-words.ts';
import { pumpState } from '../parts/pump-state.ts';
import { type Standing, standingOf } from '../parts/standing.ts';
import { lengthWords } from '../parts/times.ts';
import { SAY } from '../words.ts';
import { firstOf, lastOf, type Shown } from './shown.ts';

const DAY_S = 86_400;
/** Last hours on the strip. */
const STRIP_S = 21_600;

/** Is there water, does anything need doing: and the well alive. */
export function AtTheWell(shown: Shown) {
  const { well, now, outline, figures, isLive, reminders } = shown;
  const standing = standingOf(now, well, { isLive, figures, reminders });
  return (
    <>
      <p class={`standing ${standing.state}`} role="status" aria-live="polite">
        <Water {...standing} /> {standing.todo}
        {standing.asks.finding && (
          <>
            {' '}
            <a href={`/wells/${well.id}/condition`}>{SAY.todo.link}</a>
          </>
        )}
        {standing.asks.due && (
          <>
            {' '}
            <a href={`/wells/${well.id}/book`}>{SAY.todo.dueLink}</a>
          </>
        )}
      </p>
      <div class="drawing-and-notes">
        <Section {...{ well, now, outline, figures }} />
        <Notes {...shown} />
      </div>
      <h2>{SAY.recorder.title}</h2>
      <Recorder
        {...{ well, figures, window: null, spanS: STRIP_S, restated: shown.restated }}
        firstS={firstOf(shown)}
        lastS={lastOf(shown)}
        findings={now.findings}
        label={SAY.recorder.title}
      />
    </>
  );
}

/**
 * Whether there is water. The figure in it moves with every reading: a screen reader says it with
 * the sentence, and does not say the sentence anew because of it.
 */
function Water({ water, figure }: Standing) {
  const [before = '', after] = figure === null ? [water] : water.split(figure);
  if (after === undefined) return <>{before}</>;
  return (
    <>
      {before}
      <span aria-live="off">{figure}</span>
      {after}
    </>
  );
}

/** The figures of the drawing as a page of a notebook, with what is usual beside them. */
function Notes(shown: Shown) {
  const { well, now, figures, revision } = shown;
  const lastS = lastOf(shown);
  const days = useAsked(
    () => askPeriods(well.id, 'day', { fromS: lastS - 35 * DAY_S }),
    [well.id, revision],
  ).value;
  const date = now.day?.date;
  const runs = useAsked(
    () => askAll<RunEntry>(well.id, 'runs', { fromS: lastS - DAY_S }),
    [well.id, revision],
  ).value;
  const say = SAY.figures;
  const whole = (days ?? []).filter((day) => !day.open && day.date !== date && isWhole(day));
  const usual = usualUse(whole.slice(-28).map((day) => used(day, figures)));
  const { day } = now;
  const why = (field: string) => {
    const because = now.unknown.find((one) => one.field === field)?.because;
    return because === undefined ? say.plainNotKnown : say.notKnown(because);
  };
  const longest = longestOf(runs ?? [], date, figures.zone);
  const state = now.pump.on === null ? say.plainNotKnown : pumpState(now);
  const rows: [string, string][] = [
    [
      say.pressure,
      now.pressurePaGauge === null
        ? why('pressurePaGauge')
        : gauge(now.pressurePaGauge, 'pressure', figures),
    ],
    [
      say.pump,
      now.pump.since === null ? state : say.since(state, localMoment(now.pump.since, figures.zone)),
    ],
    [
      say.current,
      now.currentA === null ? why('currentA') : gauge(now.currentA, 'current', figures),
    ],
    [say.flow, now.flowM3PerS === null ? why('flowM3PerS') : flowWords(now, figures)],
  ];
  if (day !== null) {
    const typical = usual === null ? '' : `; ${say.usual(fullVolume(usual, figures))}`;
    rows.push(
      [say.today, `${fullVolume(used(day, figures), figures)}${typical}`],
      [say.lost, fullVolume(lost(day, figures), figures)],
      [say.starts, say.startsAnd(String(day.starts), hoursMinutes(day.runS))],
      [say.longest, longest === null ? say.none : lengthWords(longest)],
      [say.level, dropWords(levelDrop(day), figures)],
      [say.energy, full({ value: day.energyJ, std: day.energyJStd }, 'energy', figures)],
    );
  }
  return (
    <section class="notes" aria-label={say.title}>
      <h2>{say.title}</h2>
      <dl>
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <p class="caption">{SAY.timesOf(figures.zone)}</p>
    </section>
  );
}

/** A drop that cannot be told from none says how much it is at most. */
function dropWords({ value, std }: Estimate, figures: Figures): string {
  if (value === null || std === null || value > 2 * std)
    return full({ value, std }, 'length', figures);
  return SAY.figures.atMost(known({ value: value + 2 * std, std }, 'length', figures));
}

/** A usual day: the middle one, with the doubt of one like it. */
function usualUse(all: { value: number | null; std: number | null }[]) {
  const values = all.flatMap(({ value }) => (value === null ? [] : [value]));
  if (values.length < 7) return null;
  return {
    value: median(values),
    std: median(all.flatMap(({ std }) => (std === null ? [] : [std]))),
  };
}

function longestOf(
  runs: readonly RunEntry[],
  date: string | undefined,
  zone: string,
): number | null {
  const lengths = runs
    .filter(({ start }) => localDate(zone, Date.parse(start) / 1000) === date)
    .flatMap(({ start, stop }) =>
      stop === null ? [] : [(Date.parse(stop) - Date.parse(start)) / 1000],
    );
  return lengths.length === 0 ? null : Math.max(...lengths);
}
