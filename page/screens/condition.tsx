import { useState } from 'preact/hooks';
import type { FindingEntry, RunEntry } from '../../src/model/study.ts';
import { unknownWords } from '../../src/report/findings-text.ts';
import { faultWords } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { askAll } from '../data/api.ts';
import type { Day } from '../data/outline.ts';
import { useAsked } from '../data/use-asked.ts';
import { asking } from '../parts/standing.ts';
import { SAY } from '../words.ts';
import { Finding } from './finding.tsx';
import { firstOf, lastOf, type Shown } from './shown.ts';
import { Trends } from './trends.tsx';

const DAY_S = 86_400;

/** What is wrong with its evidence, what is not known, and how the well goes on. */
export function Condition(shown: Shown) {
  const { well, now, outline, revision } = shown;
  const all = useAsked(() => askAll<FindingEntry>(well.id, 'findings'), [well.id, revision]).value;
  const open = asking(now);
  const over = (all ?? []).filter(
    ({ cleared, replacedBy }) => cleared !== null && replacedBy === null,
  );
  return (
    <>
      <section aria-label={SAY.condition.open}>
        <h2>{SAY.condition.open}</h2>
        {open.length === 0 && <p role="status">{SAY.condition.none}</p>}
        {open.map((finding) => (
          <Finding key={finding.id} finding={finding} shown={shown} />
        ))}
      </section>
      <TrendsOf {...shown} />
      {over.length > 0 && (
        <section>
          <h2>{SAY.condition.over}</h2>
          {over.toReversed().map((finding) => (
            <Over key={finding.id} finding={finding} shown={shown} />
          ))}
        </section>
      )}
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
    </>
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
        {faultWords(finding.fault)}, {span}
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
    async () => ({
      days: await askAll<Day>(well.id, 'days', { fromS }),
      runs: await askAll<RunEntry>(well.id, 'runs', { fromS }),
    }),
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
        <Trends {...found} fromS={fromS} toS={lastS} shown={shown} />
      )}
    </section>
  );
}
