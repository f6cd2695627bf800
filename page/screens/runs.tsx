import { useState } from 'preact/hooks';
import type { RunEntry } from '../../src/model/study.ts';
import { bare, bareGauge, unitOf, volumeKind, volumeOf } from '../../src/report/figures.ts';
import { localDayAndTime } from '../../src/report/moments.ts';
import { remark } from '../../src/report/runs-table.ts';
import { WORDS } from '../../src/report/words.ts';
import { runsBefore } from '../data/book.ts';
import { recordOf } from '../data/record.ts';
import { useAsked } from '../data/use-asked.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { lengthWords, minutesWords } from '../parts/times.ts';
import { SAY } from '../words.ts';
import { Overlay } from './overlay.tsx';
import { PumpCurves } from './pump-curves.tsx';
import { firstOf, lastOf, type Shown } from './shown.ts';

/** Lines of a page of the book. */
const PAGE = 40;
/** Runs before the first line, for the normal run of it. */
const MORE = 12;

/** The book of runs, and one of them against what this well's runs are like. */
export function Runs(shown: Shown) {
  const { well, figures, outline, revision } = shown;
  /** Where pages of the book end, Unix s; the last is open. */
  const [ends, setEnds] = useState<number[]>([]);
  const [chosenStart, setChosen] = useState<string | null>(null);
  const endS = ends.at(-1);
  const asked = useAsked(
    () =>
      runsBefore(well.id, {
        firstS: firstOf(shown),
        toS: endS ?? lastOf(shown) + 86_400,
        wanted: PAGE + MORE,
      }),
    [well.id, revision, endS],
  );
  const runs = asked.value ?? [];
  const page = runs.slice(-PAGE);
  const isFirst = runs.length <= PAGE;
  const chosen =
    page.find(({ start }) => start === chosenStart) ?? page.findLast((run) => run.stop !== null);
  return (
    <div class="book-and-overlay">
      <section class="book">
        <h2>{SAY.runs.title}</h2>
        <p>{SAY.runs.intro}</p>
        {asked.failure !== null && <p role="alert">{SAY.notAnswered(asked.failure)}</p>}
        {runs.length === 0 && (
          <p role="status">{asked.value === null ? SAY.reading : SAY.runs.none}</p>
        )}
        {page.length > 0 && <Book {...{ shown, chosen }} runs={page} onChoose={setChosen} />}
        <div class="knobs">
          <button
            type="button"
            disabled={isFirst}
            onClick={() => setEnds([...ends, Date.parse(page[0]!.start) / 1000])}
          >
            {SAY.runs.older}
          </button>
          <button
            type="button"
            disabled={ends.length === 0}
            onClick={() => setEnds(ends.slice(0, -1))}
          >
            {SAY.runs.newer}
          </button>
        </div>
      </section>
      <div class="beside">
        {chosen !== undefined && <Overlay {...{ runs, chosen, figures }} record={recordOf(well)} />}
        <PumpCurves {...{ outline, runs, chosen, figures }} />
      </div>
    </div>
  );
}

interface BookProps {
  runs: readonly RunEntry[];
  shown: Shown;
  chosen: RunEntry | undefined;
  onChoose(start: string): void;
}

/** One line a run, as a driller keeps his book: the newest first, a page at a time. */
function Book({ runs, shown, chosen, onChoose }: BookProps) {
  const { figures } = shown;
  const { columns: heads } = WORDS;
  const newest = runs.toReversed();
  const kind = volumeKind(figures);
  const numbers: [string, string][] = [
    [heads.cutIn, unitOf('pressure', figures)],
    [heads.cutOut, unitOf('pressure', figures)],
    [heads.amps, unitOf('current', figures)],
    [heads.pumped, unitOf(kind, figures, WORDS.drawdowns)],
  ];
  return (
    <Scrolls label={SAY.runs.title}>
      <table class="ledger">
        <thead>
          <tr>
            <th scope="col">{SAY.runs.columns.date}</th>
            <th scope="col">{SAY.runs.columns.start}</th>
            <th scope="col">{SAY.runs.columns.length}</th>
            {numbers.map(([head, unit]) => (
              <th scope="col" class="number" key={head}>
                {head} <span class="unit">{unit}</span>
              </th>
            ))}
            <th scope="col">{heads.remarks}</th>
          </tr>
        </thead>
        <tbody>
          {newest.map((run, i) => (
            <Line
              key={run.start}
              {...{ run, shown, onChoose }}
              before={newest[i - 1]}
              isChosen={run === chosen}
            />
          ))}
        </tbody>
      </table>
    </Scrolls>
  );
}

/** To the second only where start and stop are known that well, as their times are told. */
function lengthOf({ start, stop, startStdS, stopStdS }: RunEntry): string {
  if (stop === null) return '';
  const lengthS = (Date.parse(stop) - Date.parse(start)) / 1000;
  const stdS = Math.hypot(startStdS, stopStdS ?? Number.POSITIVE_INFINITY);
  return 2 * stdS < 10 ? minutesWords(lengthS) : lengthWords(lengthS);
}

interface LineProps {
  run: RunEntry;
  before: RunEntry | undefined;
  isChosen: boolean;
  shown: Shown;
  onChoose(start: string): void;
}

function Line({ run, before, isChosen, shown: { figures }, onChoose }: LineProps) {
  const { day, time } = localDayAndTime(run.start, figures.zone, run.startStdS);
  const above = before === undefined ? '' : localDayAndTime(before.start, figures.zone, 60).day;
  const note = remark(run);
  return (
    <tr class={isChosen ? 'chosen' : ''}>
      <td class="date">{day === above ? <span class="spoken">{day}</span> : day}</td>
      <td>
        <button
          type="button"
          class="choose"
          aria-pressed={isChosen}
          aria-label={SAY.runs.show(`${day} ${time}`)}
          onClick={() => onChoose(run.start)}
        >
          {time}
        </button>
      </td>
      <td>{lengthOf(run)}</td>
      <td class="number">{bareGauge(run.cutInPaGauge, 'pressure', figures)}</td>
      <td class="number">{bareGauge(run.cutOutPaGauge, 'pressure', figures)}</td>
      <td class="number">{bareGauge(run.meanCurrentA, 'current', figures)}</td>
      <td class="number">{bare(volumeOf(run, 'pumped', figures), volumeKind(figures), figures)}</td>
      <td class="remark">{note}</td>
    </tr>
  );
}
