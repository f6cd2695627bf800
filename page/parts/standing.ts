import { type FindingEntry, URGENCIES } from '../../src/model/study.ts';
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

/** How urgent a well is, for the order of several; 5 where nothing asks. */
export function rankOf(now: WellNow | undefined): number {
  if (now === undefined || now.at === null) return URGENCIES.length;
  const silence = now.silence?.urgency ?? null;
  const first = asking(now)[0]?.urgency ?? null;
  const ranks = [silence, first].flatMap((one) => (one === null ? [] : [URGENCIES.indexOf(one)]));
  return Math.min(URGENCIES.length, ...ranks);
}

export interface Standing {
  /** Whether there is water, in one sentence. */
  water: string;
  /** Whether anything needs doing, in one sentence. */
  todo: string;
  state: 'well' | 'asks' | 'bad' | 'unknown';
}

/** The answer to why one looks at all. `isLive`: what is known is of this moment. */
export function standingOf(now: WellNow, well: Well, how: How): Standing {
  const open = asking(now).filter(({ urgency }) => urgency !== 'note');
  const [first] = open;
  const urgent = first !== undefined && URGENCIES.indexOf(first.urgency) <= 1;
  const { says, sure } = waterOf(now, well, how);
  const todo = todoOf(first, open.length - 1, sure === false);
  if (sure === null) return { water: says, todo, state: 'unknown' };
  if (!sure || urgent) return { water: says, todo, state: 'bad' };
  return { water: says, todo, state: first === undefined ? 'well' : 'asks' };
}

function todoOf(first: FindingEntry | undefined, more: number, named: boolean): string {
  if (first === undefined) return SAY.todo.none;
  const { label, wait } = URGENCY_WORDS[first.urgency];
  // What takes the water has been named already.
  const says =
    named && NO_WATER.has(first.fault) ? wait : SAY.todo.one(label, faultWords(first.fault));
  return more > 0 ? `${says} ${SAY.todo.more(more)}` : says;
}

interface How {
  isLive: boolean;
  figures: Figures;
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
