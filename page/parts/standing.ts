import type { Reminder } from '../../src/model/book.ts';
import { type FindingEntry, URGENCIES, type Urgency } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { type Figures, gauge } from '../../src/report/figures.ts';
import { faultWords, NO_WATER } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { URGENCY_WORDS } from '../../src/report/words.ts';
import { SAY } from '../words.ts';

/** Water still comes so far below cut-in, Pa: some 10 psi. */
const BELOW_CUT_IN_PA = 69_000;
/** Without a switch told of, a line below this gives hardly any water: some 15 psi. */
const HARDLY_PA = 103_000;

/** What asks for someone, the most urgent first. */
export const asking = ({ findings }: WellNow): FindingEntry[] =>
  findings
    .filter(({ cleared, replacedBy }) => cleared === null && replacedBy === null)
    .toSorted((a, b) => URGENCIES.indexOf(a.urgency) - URGENCIES.indexOf(b.urgency));

/** What of that which comes round is due by the time of the record. */
const dueOf = (all: readonly Reminder[], now: WellNow): Reminder[] =>
  all.filter(({ due }) => due !== null && Date.parse(due) <= Date.parse(now.lastReading ?? ''));

/** How urgent a well is, for the order of several; 5 where nothing asks. */
export function rankOf(now: WellNow | undefined, reminders: readonly Reminder[]): number {
  if (now === undefined || now.at === null) return URGENCIES.length;
  const asks: (Urgency | null | undefined)[] = [now.silence?.urgency, asking(now)[0]?.urgency];
  if (dueOf(reminders, now).length > 0) asks.push('note');
  return Math.min(
    URGENCIES.length,
    ...asks.flatMap((one) => (one == null ? [] : URGENCIES.indexOf(one))),
  );
}

export interface Standing {
  /** Whether there is water, in one sentence. */
  water: string;
  /** The pressure in it, as it is written there. */
  figure: string | null;
  /** Whether anything needs doing, in one sentence. */
  todo: string;
  /** Findings ask for it, or what comes round is due. */
  asks: { finding: boolean; due: boolean };
  state: 'well' | 'asks' | 'bad' | 'unknown';
}

/** The answer to why one looks at all. */
export function standingOf(now: WellNow, well: Well, how: How): Standing {
  const open = asking(now).filter(({ urgency }) => urgency !== 'note');
  const due = dueOf(how.reminders, now);
  const [first] = open;
  const urgent = first !== undefined && URGENCIES.indexOf(first.urgency) <= 1;
  const { says, sure } = waterOf(now, well, how);
  const pressure = now.pressurePaGauge;
  const standing = {
    water: says,
    figure: pressure === null ? null : gauge(pressure, 'pressure', how.figures),
    todo: todoOf(open, due, sure === false),
    asks: { finding: first !== undefined, due: due.length > 0 },
  };
  if (sure === null) return { ...standing, state: 'unknown' };
  if (!sure || urgent) return { ...standing, state: 'bad' };
  return { ...standing, state: first === undefined ? 'well' : 'asks' };
}

function todoOf(open: readonly FindingEntry[], due: readonly Reminder[], named: boolean): string {
  const [first, ...more] = open;
  const says: string[] = [];
  if (first !== undefined) {
    const { label, wait } = URGENCY_WORDS[first.urgency];
    // What takes the water has been named already.
    const isNamed = named && NO_WATER.has(first.fault);
    says.push(isNamed ? wait : SAY.todo.one(label, faultWords(first.fault)));
    if (more.length > 0) says.push(SAY.todo.more(more.length));
  }
  if (due.length > 0) says.push(SAY.todo.due(due.map(({ name }) => SAY.book.due.acts[name])));
  return says.length === 0 ? SAY.todo.none : says.join(' ');
}

interface How {
  /** What is known is of this moment. */
  isLive: boolean;
  figures: Figures;
  /** What comes round every year. */
  reminders: readonly Reminder[];
}

function waterOf(now: WellNow, { equipment }: Well, { isLive, figures }: How) {
  const dry = asking(now).find(({ fault }) => NO_WATER.has(fault));
  if (dry !== undefined && isLive)
    return { says: SAY.water.doubt(faultWords(dry.fault)), sure: false };
  const pressure = now.pressurePaGauge;
  if (!isLive || pressure === null || now.silence?.urgency != null) {
    const when = now.at === null ? null : localMoment(now.at, figures.zone);
    const was =
      pressure === null || when === null
        ? ''
        : ` ${SAY.water.was(gauge(pressure, 'pressure', figures), when)}`;
    return { says: SAY.water.unknown + was, sure: null };
  }
  const shown = gauge(pressure, 'pressure', figures);
  const cutIn = equipment.cutInPaGauge?.value;
  const leastPa = cutIn === undefined ? HARDLY_PA : cutIn - BELOW_CUT_IN_PA;
  if (pressure < leastPa) return { says: SAY.water.low(shown), sure: false };
  return { says: (now.pump.on ? SAY.water.yesRunning : SAY.water.yes)(shown), sure: true };
}
