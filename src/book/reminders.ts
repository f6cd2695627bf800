import { instant } from '../base/instant.ts';
import type { BookEntry, Reminder } from '../model/book.ts';
import type { CalibrationRecord, ResetKind, Well } from '../model/well.ts';

const YEAR_S = 365 * 86_400;
/** Services after which the water is sampled before anyone drinks it. */
const OPENS: readonly ResetKind[] = ['well', 'pump', 'plumbing', 'tank', 'pressure-sensor'];

/** When each was done last, by well file and journal, and when it is due. */
export function reminders(well: Well, entries: readonly BookEntry[]): Reminder[] {
  const { services, otherTests, calibrations, equipment } = well;
  const reset = (kinds: readonly ResetKind[]) =>
    services.filter(({ resets }) => resets.some((kind) => kinds.includes(kind)));
  const aired = [
    ...otherTests.filter(({ kind }) => kind === 'precharge_test').map(({ stopS }) => stopS),
    ...reset(['tank']).map(({ onS }) => onS),
    ...(equipment.prechargePaGauge?.source === 'measured'
      ? [equipment.prechargePaGauge.onS ?? Number.NaN]
      : []),
  ];
  const sampledS = latest(
    entries.flatMap(({ act }) =>
      act.what === 'noted' && act.about === 'water-sample' ? [Date.parse(act.on) / 1000] : [],
    ),
  );
  const openedS = latest(reset(OPENS).map(({ onS }) => onS));
  const isOpened = openedS !== null && (sampledS === null || openedS > sampledS);
  const inForce = calibrations.filter(({ untilS }) => untilS === null);
  return [
    yearly('air-charge', latest(aired)),
    isOpened
      ? reminder('water-sample', { lastS: sampledS, dueS: openedS, opened: true })
      : yearly('water-sample', sampledS),
    yearly('calibration', latest(inForce.map((one) => madeS(one, entries)))),
  ];
}

/** One that mends the past holds from before it was made: the journal knows when that was. */
function madeS({ channel, fromS }: CalibrationRecord, entries: readonly BookEntry[]): number {
  const written = entries.flatMap(({ at, act }) => {
    if (act.what !== 'added' || act.table !== 'calibration' || act.failed !== undefined) return [];
    const { values } = act;
    const isIt = values.channel === channel && Date.parse(String(values.from)) / 1000 === fromS;
    return isIt ? [Date.parse(at) / 1000] : [];
  });
  return Math.max(fromS, ...written);
}

function latest(times: readonly number[]): number | null {
  const known = times.filter(Number.isFinite);
  return known.length === 0 ? null : Math.max(...known);
}

const yearly = (name: Reminder['name'], lastS: number | null): Reminder =>
  reminder(name, { lastS, dueS: lastS === null ? null : lastS + YEAR_S, opened: false });

function reminder(
  name: Reminder['name'],
  { lastS, dueS, opened }: { lastS: number | null; dueS: number | null; opened: boolean },
): Reminder {
  const of = (timeS: number | null) => (timeS === null ? null : instant(timeS));
  return { name, last: of(lastS), due: of(dueS), opened };
}
