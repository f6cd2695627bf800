import { useState } from 'preact/hooks';
import { localMoment } from '../../src/report/moments.ts';
import { alarmTitle } from '../../src/report/notice-text.ts';
import { askEntries, type Entry } from '../data/alarms.ts';
import { useAsked } from '../data/use-asked.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { SAY } from '../words.ts';
import type { Shown } from './shown.ts';

const DAY_S = 86_400;
/** So far back the record is read at first, and twice as far each time it is asked for more. */
const FIRST_DAYS = 30;

/** What was told, to whom, and who has seen it: read once it is opened. */
export function AlarmRecord({ shown }: { shown: Shown }) {
  const [open, setOpen] = useState(false);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{SAY.alarms.record}</summary>
      {open && <Entries shown={shown} />}
    </details>
  );
}

function Entries({ shown }: { shown: Shown }) {
  const say = SAY.alarms;
  const { well, figures, alarmed } = shown;
  const [days, setDays] = useState(FIRST_DAYS);
  const asked = useAsked(() => {
    const nowS = Date.now() / 1000;
    return askEntries(well.id, nowS - days * DAY_S, nowS + DAY_S);
  }, [well.id, alarmed, days]);
  if (asked.value === null)
    return (
      <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
    );
  return (
    <>
      <p>{say.recordNote}</p>
      {asked.value.length === 0 ? (
        <p role="status">{say.recordNone(days)}</p>
      ) : (
        <Scrolls label={say.record}>
          <table class="ledger">
            <thead>
              <tr>
                <th scope="col">{say.recordHead.at}</th>
                <th scope="col">{say.recordHead.what}</th>
              </tr>
            </thead>
            <tbody>
              {asked.value.toReversed().map((entry) => (
                <tr key={entry.at}>
                  <th scope="row">{localMoment(entry.at, figures.zone)}</th>
                  <td class="told">{entryWords(entry, figures.zone)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolls>
      )}
      <div class="knobs">
        <button type="button" onClick={() => setDays(2 * days)}>
          {say.recordEarlier}
        </button>
      </div>
    </>
  );
}

function entryWords(entry: Entry, zone: string): string {
  const say = SAY.alarms.entry;
  const at = (atS: number) => localMoment(new Date(atS * 1000).toISOString(), zone);
  switch (entry.what) {
    case 'service-declared':
      return say.declared(entry.service.did, entry.service.by, at(entry.service.untilS));
    case 'service-ended':
      return say.ended(entry.service.did, entry.by);
    case 'outage':
      return say.outage(at(entry.outage.fromS), at(entry.outage.toS));
    case 'notice':
      return say.notice(entry.notice.subject);
    case 'delivery':
      return say[entry.outcome](entry.receiver, entry.says ?? '');
    default: {
      const { alarm, what, by } = entry;
      const until = what === 'shelved' && alarm.shelved ? at(alarm.shelved.untilS) : null;
      return SAY.alarms.changed(alarmTitle(alarm), what, { by, until });
    }
  }
}
