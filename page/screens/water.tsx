import { useState } from 'preact/hooks';
import type { DrawEntry } from '../../src/model/study.ts';
import { gathered, isWhole, lost, mean } from '../../src/report/day-quantities.ts';
import {
  bare,
  bareKnown,
  type Estimate,
  full,
  fullVolume,
  known,
  unitOf,
  volumeKind,
} from '../../src/report/figures.ts';
import { WORDS } from '../../src/report/words.ts';
import { askAll } from '../data/api.ts';
import type { Day } from '../data/outline.ts';
import { useAsked } from '../data/use-asked.ts';
import { type Bar, Bars } from '../drawing/bars.tsx';
import { scaleOf } from '../parts/figures.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { usualBand } from '../parts/usual.ts';
import {
  rowsOfDays,
  rowsOfHours,
  spanOfDate,
  summedRows,
  unusualDays,
  type WaterRow,
  withHoles,
} from '../parts/water-rows.ts';
import { SAY } from '../words.ts';
import type { Shown } from './shown.ts';

const BY = ['hour', 'day', 'month', 'year'] as const;
type By = (typeof BY)[number];
const DAYS_SHOWN = 31;
const MONTHS_SHOWN = 24;

/** Use and loss of water, what of it is steady, what is unusual, and what it costs. */
export function Water(shown: Shown) {
  const { well, now, revision } = shown;
  const [by, setBy] = useState<By>('day');
  const [date, setDate] = useState<string | null>(null);
  const asked = useAsked(() => askAll<Day>(well.id, 'days'), [well.id, revision]);
  // Of the day that goes on, records are brought up to date now and then; the present knows more.
  const today = now.day;
  const days = asked.value?.map((day) => (day.date === today?.date ? today : day)) ?? null;
  if (days === null)
    return (
      <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
    );
  if (days.length === 0) return <p role="status">{SAY.use.none}</p>;
  const chosen = days.find((day) => day.date === date) ?? days.at(-1)!;
  const showHours = (of: string) => {
    setDate(of);
    setBy('hour');
  };
  return (
    <>
      <h2>{SAY.use.title}</h2>
      <fieldset class="knobs by">
        <legend>{SAY.use.by}</legend>
        {BY.map((one) => (
          <label key={one}>
            <input
              type="radio"
              name="by"
              value={one}
              checked={by === one}
              onChange={() => setBy(one)}
            />
            {SAY.use[one]}
          </label>
        ))}
      </fieldset>
      {by === 'hour' ? (
        <Hours {...{ shown, days, chosen }} onDate={setDate} />
      ) : (
        <Periods {...{ shown, days, by }} onDay={showHours} />
      )}
      <div class="three">
        <Steady days={days} shown={shown} />
        <Unusual days={days} shown={shown} />
        <Cost days={days} shown={shown} />
      </div>
    </>
  );
}

interface HoursProps {
  shown: Shown;
  days: readonly Day[];
  chosen: Day;
  onDate(date: string): void;
}

function Hours({ shown, days, chosen, onDate }: HoursProps) {
  const { well, figures, revision } = shown;
  const [fromS, toS] = spanOfDate(chosen.date, figures.zone);
  const draws = useAsked(
    () => askAll<DrawEntry>(well.id, 'draws', { fromS: fromS - 6 * 3600, toS }),
    [well.id, chosen.date, revision],
  ).value;
  const untilS = Date.parse(shown.now.at ?? '') / 1000;
  const rows = draws === null ? [] : rowsOfHours(draws, chosen, figures, untilS);
  const at = days.indexOf(chosen);
  return (
    <>
      <div class="knobs">
        <button type="button" disabled={at <= 0} onClick={() => onDate(days[at - 1]!.date)}>
          {SAY.use.earlierDay}
        </button>
        <strong>{SAY.use.ofDay(chosen.date)}</strong>
        <button
          type="button"
          disabled={at >= days.length - 1}
          onClick={() => onDate(days[at + 1]!.date)}
        >
          {SAY.use.laterDay}
        </button>
      </div>
      <WaterBars rows={rows} by="hour" shown={shown} usual={null} />
      <p class="caption">{SAY.use.hourNote}</p>
      <WaterTable rows={rows} by="hour" shown={shown} />
    </>
  );
}

function Periods({
  shown,
  days,
  by,
  onDay,
}: {
  shown: Shown;
  days: readonly Day[];
  by: Exclude<By, 'hour'>;
  onDay(date: string): void;
}) {
  const { figures } = shown;
  const rows =
    by === 'day'
      ? withHoles(rowsOfDays(days, figures).slice(-DAYS_SHOWN))
      : by === 'month'
        ? withHoles(summedRows(days, 7, figures).slice(-MONTHS_SHOWN))
        : summedRows(days, 4, figures);
  const whole = rowsOfDays(days, figures)
    .filter(({ mark }) => mark === '')
    .slice(-28);
  const usual =
    by === 'day'
      ? usualBand(whole.flatMap(({ used }) => (used.value === null ? [] : [used.value])))
      : null;
  return (
    <>
      <WaterBars rows={rows} by={by} shown={shown} usual={usual} />
      {by === 'day' && <p class="caption">{SAY.use.dayNote}</p>}
      <WaterTable rows={rows} by={by} shown={shown} {...(by === 'day' ? { onDay } : {})} />
    </>
  );
}

interface BarsProps {
  rows: readonly WaterRow[];
  by: By;
  shown: Shown;
  /** A usual one lies between these, SI. */
  usual: [low: number, high: number] | null;
}

function WaterBars({ rows, by, shown: { figures }, usual }: BarsProps) {
  const { si, unit } = scaleOf(volumeKind(figures), figures);
  const per = (value: number | null) => (value === null ? null : value / si);
  const bars: Bar[] = rows.map(({ name, used, lost, mark }) => ({
    name: by === 'day' ? name.slice(5) : name,
    used: per(used.value),
    usedSpread: 2 * (per(used.std) ?? 0),
    // What cannot be told from none is none.
    lost: lost.value !== null && lost.value > 2 * (lost.std ?? 0) ? per(lost.value) : 0,
    mark,
  }));
  const most = rows.reduce<Estimate>(
    (a, { used }) => ((used.value ?? 0) > (a.value ?? 0) ? used : a),
    { value: 0, std: 0 },
  );
  const [first, last] = [rows[0]?.name ?? '', rows.at(-1)?.name ?? ''];
  const band: [number, number] | null = usual === null ? null : [usual[0] / si, usual[1] / si];
  return (
    <Bars
      bars={bars}
      unit={figures.relative ? WORDS.drawdowns : unit}
      usual={band}
      spoken={SAY.use.spoken(SAY.use[by], first, last, fullVolume(most, figures))}
    />
  );
}

interface TableProps {
  rows: readonly WaterRow[];
  by: By;
  shown: Shown;
  onDay?: (date: string) => void;
}

function WaterTable({ rows, by, shown: { figures, well }, onDay }: TableProps) {
  const kind = volumeKind(figures);
  const unit = unitOf(kind, figures, WORDS.drawdowns);
  const priced = well.energyPrice !== null;
  const { cells } = SAY.use;
  return (
    <Scrolls label={SAY.use.title}>
      <table class="ledger">
        <thead>
          <tr>
            <th scope="col">{cells[by]}</th>
            <th scope="col" class="number">
              {SAY.use.used} <span class="unit">{unit}</span>
            </th>
            <th scope="col" class="number">
              {SAY.use.lost} <span class="unit">{unit}</span>
            </th>
            {by !== 'hour' && (
              <th scope="col" class="number">
                {cells.energy} <span class="unit">kWh</span>
              </th>
            )}
            {by !== 'hour' && priced && (
              <th scope="col" class="number">
                {cells.cost} <span class="unit">{figures.currency}</span>
              </th>
            )}
            <th scope="col">{WORDS.columns.remarks}</th>
          </tr>
        </thead>
        <tbody>
          {rows.toReversed().map((row) => (
            <tr key={row.name}>
              <th scope="row">
                {onDay === undefined || row.mark === 'hole' ? (
                  row.name
                ) : (
                  <button
                    type="button"
                    class="choose"
                    aria-label={SAY.use.typical(row.name)}
                    onClick={() => onDay(row.name)}
                  >
                    {row.name}
                  </button>
                )}
              </th>
              <td class="number">{bare(row.used, kind, figures)}</td>
              <td class="number">{bare(row.lost, kind, figures)}</td>
              {by !== 'hour' && <td class="number">{bare(row.energy, 'energy', figures)}</td>}
              {by !== 'hour' && priced && (
                <td class="number">{bareKnown(row.cost, 'number', figures)}</td>
              )}
              <td class="remark">{remarkOf(row)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  );
}

const remarkOf = ({ mark, days }: WaterRow): string => {
  if (mark === 'hole') return SAY.use.hole(days ?? 0);
  return mark === '' ? '' : SAY.use[mark];
};

interface PartProps {
  days: readonly Day[];
  shown: Shown;
}

/** What leaves steadily, day and night. */
function Steady({ days, shown: { figures } }: PartProps) {
  const week = days.filter((day) => !day.open && isWhole(day)).slice(-7);
  const loss = gathered(
    week.map((day) => lost(day, figures)),
    mean,
  );
  const none = loss.value === null || loss.value <= 2 * (loss.std ?? 0);
  const most = { value: Math.max(0, loss.value ?? 0) + 2 * (loss.std ?? 0), std: loss.std };
  const says =
    loss.value === null
      ? SAY.figures.plainNotKnown
      : none
        ? SAY.use.steadyNone(known(most, volumeKind(figures), figures, WORDS.drawdowns))
        : SAY.use.steady(fullVolume(loss, figures));
  return (
    <section>
      <h2>{SAY.use.steadyTitle}</h2>
      <p>{says}</p>
    </section>
  );
}

function Unusual({ days, shown: { figures } }: PartProps) {
  const recent = new Set(days.slice(-60).map(({ date }) => date));
  const found = unusualDays(days, figures)
    .filter(({ day }) => recent.has(day.date))
    .slice(-8);
  const volume = (value: number, day: Day) =>
    known({ value, std: day.usedM3Std }, volumeKind(figures), figures, WORDS.drawdowns);
  return (
    <section>
      <h2>{SAY.use.unusualTitle}</h2>
      {found.length === 0 && <p>{SAY.use.unusualNone}</p>}
      <ul>
        {found.toReversed().map(({ day, value, usual }) => (
          <li key={day.date}>
            {value > usual
              ? SAY.use.unusualMore(day.date, volume(value, day), (value / usual).toPrecision(2))
              : SAY.use.unusualLess(day.date, volume(value, day), volume(usual, day))}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Cost({ days, shown: { figures, well } }: PartProps) {
  const months = summedRows(days, 7, figures).slice(-3).toReversed();
  const last = days.findLast(({ energyPerVolumeJPerM3 }) => energyPerVolumeJPerM3 !== null);
  const per = last && { value: last.energyPerVolumeJPerM3, std: last.energyPerVolumeJPerM3Std };
  return (
    <section>
      <h2>{SAY.use.costTitle}</h2>
      {well.energyPrice === null && <p>{SAY.use.costNone}</p>}
      {well.energyPrice !== null &&
        months.map(({ name, cost }) => (
          <p key={name}>
            {SAY.use.cost(`${bareKnown(cost, 'number', figures)} ${figures.currency}`, name)}
          </p>
        ))}
      {per && <p>{SAY.use.costPer(full(per, 'energy-per-volume', figures))}</p>}
    </section>
  );
}
