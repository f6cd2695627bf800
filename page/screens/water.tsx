import { useState } from 'preact/hooks';
import { localDate } from '../../src/base/zone.ts';
import { type DrawEntry, isWhole } from '../../src/model/study.ts';
import { gathered, lost, mean } from '../../src/report/day-quantities.ts';
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
import { askPeriods, type Day, type Period } from '../data/days.ts';
import { type Asked, useAsked } from '../data/use-asked.ts';
import { type Bar, Bars } from '../drawing/bars.tsx';
import { scaleOf } from '../parts/figures.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { usualBand } from '../parts/usual.ts';
import {
  rowsOfDays,
  rowsOfHours,
  rowsOfPeriods,
  spanOfDate,
  unusualDays,
  type WaterRow,
  withHoles,
} from '../parts/water-rows.ts';
import { SAY } from '../words.ts';
import { firstOf, lastOf, type Shown } from './shown.ts';

const BY = ['hour', 'day', 'month', 'year'] as const;
type By = (typeof BY)[number];
const DAY_S = 86_400;
const DAYS_SHOWN = 31;
const MONTHS_SHOWN = 24;
/** What is unusual of the last sixty days is so by the 28 before each. */
const DAYS_ASKED = 100;

/** Use and loss of water, what of it is steady, what is unusual, and what it costs. */
export function Water(shown: Shown) {
  const { well, now, figures, revision } = shown;
  const [by, setBy] = useState<By>('day');
  const [date, setDate] = useState<string | null>(null);
  const lastS = lastOf(shown);
  const lastDate = localDate(figures.zone, lastS);
  const asked = useAsked(
    () => askPeriods(well.id, 'day', { fromS: lastS - DAYS_ASKED * DAY_S }),
    [well.id, revision],
  );
  const months = useAsked(
    () => askPeriods(well.id, 'month', { fromS: monthsBefore(lastDate, MONTHS_SHOWN - 1) }),
    [well.id, revision],
  ).value;
  // All years take the service longest: asked for once the rest is there.
  const isDrawn = asked.value !== null && months !== null;
  const years = useAsked(
    async () => (isDrawn ? askPeriods(well.id, 'year', { fromS: 0 }) : null),
    [well.id, revision, isDrawn],
  );
  // Of the day that goes on, records are brought up to date now and then; the present knows more.
  const today = now.day;
  const days: Day[] | null =
    asked.value?.map((day) => (day.date === today?.date ? today : day)) ?? null;
  if (days === null || months === null)
    return (
      <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
    );
  if (days.length === 0) return <p role="status">{SAY.use.none}</p>;
  const showHours = (of: string) => {
    setDate(of);
    setBy('hour');
  };
  const put = { shown, days, months };
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
      {by === 'hour' && <Hours {...{ shown, lastDate }} date={date ?? lastDate} onDate={setDate} />}
      {by === 'day' && <Days {...put} onDay={showHours} />}
      {by === 'month' && (
        <Rows rows={withHoles(rowsOfPeriods(months, 7, figures))} by="month" shown={shown} />
      )}
      {by === 'year' && <Years years={years} shown={shown} />}
      <div class="three">
        <Steady {...put} />
        <Unusual {...put} />
        <Cost {...put} />
      </div>
    </>
  );
}

/** When the month begins that lies so many before the one of a date, Unix s. */
function monthsBefore(date: string, count: number): number {
  const [year = 0, month = 1] = date.split('-').map(Number);
  return Date.UTC(year, month - 1 - count, 1) / 1000;
}

const stepped = (date: string, days: number): string =>
  new Date(Date.parse(date) + days * DAY_S * 1000).toISOString().slice(0, 10);

interface HoursProps {
  shown: Shown;
  date: string;
  lastDate: string;
  onDate(date: string): void;
}

/** The hours of a day of the record, asked by itself: it may lie ten years back. */
function Hours({ shown, date, lastDate, onDate }: HoursProps) {
  const { well, now, figures, revision } = shown;
  const [fromS, toS] = spanOfDate(date, figures.zone);
  const asked = useAsked(async () => {
    const noonS = Date.parse(`${date}T12:00:00Z`) / 1000;
    const [days, draws] = await Promise.all([
      askPeriods(well.id, 'day', { fromS: noonS, toS: noonS + 1 }),
      askAll<DrawEntry>(well.id, 'draws', { fromS: fromS - 6 * 3600, toS }),
    ]);
    return { date, draws, day: days[0] ?? null };
  }, [well.id, date, revision]);
  const found = asked.value?.date === date ? asked.value : null;
  const day = now.day?.date === date ? now.day : (found?.day ?? null);
  const untilS = Date.parse(now.at ?? '') / 1000;
  const rows = found === null || day === null ? [] : rowsOfHours(found.draws, day, figures, untilS);
  const firstDate = localDate(figures.zone, firstOf(shown));
  return (
    <>
      <div class="knobs">
        <button
          type="button"
          disabled={date <= firstDate}
          onClick={() => onDate(stepped(date, -1))}
        >
          {SAY.use.earlierDay}
        </button>
        <label>
          <span class="spoken">{SAY.use.ofDay}</span>
          <input
            type="date"
            min={firstDate}
            max={lastDate}
            value={date}
            onChange={({ currentTarget: { value } }) =>
              value >= firstDate && value <= lastDate && onDate(value)
            }
          />
        </label>
        <button type="button" disabled={date >= lastDate} onClick={() => onDate(stepped(date, 1))}>
          {SAY.use.laterDay}
        </button>
      </div>
      {found === null ? (
        <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
      ) : rows.length === 0 ? (
        <p role="status">{SAY.use.hole(1)}</p>
      ) : (
        <Rows rows={rows} by="hour" shown={shown} note={SAY.use.hourNote} />
      )}
    </>
  );
}

interface PartProps {
  days: readonly Day[];
  months: readonly Period[];
  shown: Shown;
}

function Days({ days, shown, onDay }: PartProps & { onDay(date: string): void }) {
  const { figures } = shown;
  const all = rowsOfDays(days, figures);
  const whole = all.filter(({ mark }) => mark === '').slice(-28);
  const usual = usualBand(whole.flatMap(({ used }) => (used.value === null ? [] : [used.value])));
  const rows = withHoles(all.slice(-DAYS_SHOWN));
  return <Rows {...{ rows, shown, usual, onDay }} by="day" note={SAY.use.dayNote} />;
}

function Years({ years, shown }: { years: Asked<Period[] | null>; shown: Shown }) {
  if (years.value === null)
    return (
      <p role="status">{years.failure === null ? SAY.reading : SAY.notAnswered(years.failure)}</p>
    );
  return <Rows rows={rowsOfPeriods(years.value, 4, shown.figures)} by="year" shown={shown} />;
}

interface RowsProps {
  rows: readonly WaterRow[];
  by: By;
  shown: Shown;
  usual?: BarsProps['usual'];
  note?: string;
  onDay?: (date: string) => void;
}

/** Bars, and the same as a ledger. */
function Rows({ usual = null, note, onDay, ...of }: RowsProps) {
  return (
    <>
      <WaterBars {...of} usual={usual} />
      {note !== undefined && <p class="caption">{note}</p>}
      <WaterTable {...of} {...(onDay && { onDay })} />
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

function Cost({ days, months, shown: { figures, well } }: PartProps) {
  const latest = rowsOfPeriods(months.slice(-3), 7, figures).toReversed();
  const last = days.findLast(({ energyPerVolumeJPerM3 }) => energyPerVolumeJPerM3 !== null);
  const per = last && { value: last.energyPerVolumeJPerM3, std: last.energyPerVolumeJPerM3Std };
  return (
    <section>
      <h2>{SAY.use.costTitle}</h2>
      {well.energyPrice === null && <p>{SAY.use.costNone}</p>}
      {well.energyPrice !== null &&
        latest.map(({ name, cost }) => (
          <p key={name}>
            {SAY.use.cost(`${bareKnown(cost, 'number', figures)} ${figures.currency}`, name)}
          </p>
        ))}
      {per && <p>{SAY.use.costPer(full(per, 'energy-per-volume', figures))}</p>}
    </section>
  );
}
