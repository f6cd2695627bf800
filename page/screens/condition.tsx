import { useState } from 'preact/hooks';
import type { ShownAlarm } from '../../src/alarms/shown.ts';
import { capital } from '../../src/base/capital.ts';
import { localDate } from '../../src/base/zone.ts';
import type { CautionId } from '../../src/model/cautions.ts';
import type { FindingEntry } from '../../src/model/study.ts';
import { unknownWords } from '../../src/report/findings-text.ts';
import { faultWords } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { URGENCY_WORDS } from '../../src/report/words.ts';
import { askAlarms, type Declared } from '../data/alarms.ts';
import { askAll } from '../data/api.ts';
import { askPeriods } from '../data/days.ts';
import { useAsked } from '../data/use-asked.ts';
import { asking } from '../parts/standing.ts';
import { SAY } from '../words.ts';
import { type Acting, AlarmActs } from './alarm-acts.tsx';
import { ContractorPage } from './contractor-page.tsx';
import { Cautions, Finding } from './finding.tsx';
import { useKeeper } from './keeper-name.tsx';
import { firstOf, lastOf, type Shown } from './shown.ts';
import { Telling } from './telling.tsx';
import { Trends } from './trends.tsx';

const DAY_S = 86_400;
/** Longer trends go by weeks, and findings further back are asked for when they are wanted. */
const MOST_DAYS = 400;

/** What is wrong with its evidence, what is not known, and how the well goes on. */
export function Condition(shown: Shown) {
  const { well, now, outline } = shown;
  const keeper = useKeeper();
  const [acted, setActed] = useState(0);
  const alarms = useAsked(() => askAlarms(well.id), [well.id, shown.alarmed, acted]);
  const acting = { keeper, shown, onActed: () => setActed((before) => before + 1) };
  const open = asking(now);
  const standing = alarms.value?.standing ?? [];
  const others = standing.filter(({ finding }) => !open.some(({ id }) => id === finding));
  return (
    <>
      <section aria-label={SAY.condition.open}>
        <h2>{SAY.condition.open}</h2>
        {open.length === 0 && <p role="status">{SAY.condition.none}</p>}
        {alarms.value?.service && <p>{workWords(alarms.value.service, shown.figures.zone)}</p>}
        {alarms.failure !== null && <p>{SAY.alarms.unread(alarms.failure)}</p>}
        {open.map((finding) => {
          const alarm = standing.find((one) => one.finding === finding.id);
          return (
            <Finding
              key={finding.id}
              finding={finding}
              shown={shown}
              alarm={alarm && <AlarmActs {...acting} alarm={alarm} />}
            />
          );
        })}
        <ContractorPage wellId={well.id} />
      </section>
      {others.length > 0 && (
        <section>
          <h2>{SAY.alarms.others}</h2>
          {others.map((alarm) => (
            <AlarmAlone key={alarm.id} {...acting} alarm={alarm} />
          ))}
        </section>
      )}
      <TrendsOf {...shown} />
      <OverOnes {...shown} />
      {outline !== null && outline.unknown.length > 0 && (
        <section>
          <h2>{SAY.condition.unknownTitle}</h2>
          <ul>
            {outline.unknown.map((entry) => (
              <li key={entry.field + entry.because}>{unknownWords(entry)}</li>
            ))}
          </ul>
        </section>
      )}
      <Telling {...{ shown, keeper }} />
    </>
  );
}

const workWords = ({ did, by, until }: Declared, zone: string): string =>
  SAY.alarms.work(did, by, localMoment(until, zone));

/** An alarm whose finding is not open: a device that is silent, or what is over and unseen. */
function AlarmAlone(props: Acting & { alarm: ShownAlarm; shown: Shown }) {
  const { alarm, shown } = props;
  const { title, urgency, since, action, timeToAct, cautions, state } = alarm;
  const isOver = state === 'returned-unacknowledged';
  return (
    <article class={`finding ${isOver ? 'cleared' : urgency}`} aria-label={title}>
      <h3>
        {isOver ? '' : `${URGENCY_WORDS[urgency].label}: `}
        {title}
      </h3>
      <p class="caption">{SAY.condition.since(localMoment(since, shown.figures.zone))}</p>
      <div class="act">
        {!isOver && (
          <>
            <h4>{SAY.condition.action}</h4>
            <p>
              {action} {timeToAct}
            </p>
            <Cautions ids={cautions.map(({ id }) => id as CautionId)} />
          </>
        )}
        <AlarmActs {...props} />
      </div>
    </article>
  );
}

/** Findings that are over, those of some time back and more where they are asked for. */
function OverOnes(shown: Shown) {
  const { well, revision } = shown;
  const [days, setDays] = useState(MOST_DAYS);
  const fromS = lastOf(shown) - days * DAY_S;
  const all = useAsked(
    () => askAll<FindingEntry>(well.id, 'findings', { fromS }),
    [well.id, revision, days],
  ).value;
  const over = (all ?? []).filter(
    ({ cleared, replacedBy }) => cleared !== null && replacedBy === null,
  );
  return (
    <section>
      <h2>{SAY.condition.over}</h2>
      <p class="caption">{SAY.condition.overSince(localDate(shown.figures.zone, fromS))}</p>
      {all !== null && over.length === 0 && <p>{SAY.condition.overNone}</p>}
      {over.toReversed().map((finding) => (
        <Over key={finding.id} finding={finding} shown={shown} />
      ))}
      {fromS > firstOf(shown) && (
        <div class="knobs">
          <button type="button" onClick={() => setDays(2 * days)}>
            {SAY.condition.overOlder}
          </button>
        </div>
      )}
    </section>
  );
}

/** A finding that is over: its line, and all of it once asked for. */
function Over({ finding, shown }: { finding: FindingEntry; shown: Shown }) {
  const [open, setOpen] = useState(false);
  const { zone } = shown.figures;
  const span = SAY.condition.overSpan(
    localMoment(finding.since, zone),
    localMoment(finding.cleared!, zone),
  );
  return (
    <details class="over" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {capital(faultWords(finding.fault))}, {span}
      </summary>
      {open && <Finding finding={finding} shown={shown} />}
    </details>
  );
}

function TrendsOf(shown: Shown) {
  const { well, revision } = shown;
  const [days, setDays] = useState(365);
  const lastS = lastOf(shown);
  // A young record is not lost in an empty year.
  const fromS = Math.max(lastS - days * DAY_S, firstOf(shown) - DAY_S);
  const keys = [well.id, revision, days];
  const found = useAsked(
    () => askPeriods(well.id, days > MOST_DAYS ? 'week' : 'day', { fromS }),
    keys,
  ).value;
  return (
    <section>
      <h2>{SAY.condition.trends}</h2>
      <p>{SAY.condition.trendsNote}</p>
      <fieldset class="knobs by">
        <legend>{SAY.condition.span}</legend>
        {Object.entries(SAY.condition.spans).map(([count, name]) => (
          <label key={count}>
            <input
              type="radio"
              name="span"
              checked={days === Number(count)}
              onChange={() => setDays(Number(count))}
            />
            {name}
          </label>
        ))}
      </fieldset>
      {found === null ? (
        <p role="status">{SAY.reading}</p>
      ) : (
        <Trends days={found} fromS={fromS} toS={lastS} shown={shown} />
      )}
    </section>
  );
}
