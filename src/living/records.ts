import type { Study } from '../model/study.ts';
import type { ReadingStore, RecordKind, StoredRecord } from '../ports/reading-store.ts';
import { ALWAYS_S } from './analysis.ts';
import { type DayAlive, runsByDate } from './day-runs.ts';

/** What the study of a living well puts into the store. */
export const TOLD_KINDS = ['run', 'day', 'draw', 'finding'] as const;
export type ToldKind = (typeof TOLD_KINDS)[number];

/** A record is put again once one of its numbers has moved by more than this, relative. */
const MOVED = 0.01;
/** Records put in one commit. */
const AT_ONCE = 1000;

const inS = (instant: string): number => Date.parse(instant) / 1000;

/** The records of a study; days with what their runs were like, those `isOpen` marked so. */
export function recordsOf(
  study: Study,
  { isOpen, zone }: { isOpen: (date: string) => boolean; zone: string },
): Record<ToldKind, StoredRecord[]> {
  const starts = new Set<string>();
  const runsOf = runsByDate(study.runs, zone);
  return {
    run: study.runs.map((body) => ({ id: once(body.start, starts), atS: inS(body.start), body })),
    day: study.days.map((day) => ({
      id: day.date,
      atS: inS(`${day.date}T12:00:00Z`),
      body: { ...day, open: isOpen(day.date), runs: runsOf(day.date) } satisfies DayAlive,
    })),
    draw: inOrder(
      study.draws.map((body) => ({
        id: once(`draw ${body.start}`, starts).slice('draw '.length),
        atS: inS(body.start),
        body,
      })),
    ),
    finding: inOrder(study.findings.map((body) => ({ id: body.id, atS: inS(body.raised), body }))),
  };
}

/** A start that two share, as draws may, is told apart. */
function once(id: string, taken: Set<string>): string {
  let own = id;
  for (let k = 2; taken.has(own); k++) own = `${id}-${k}`;
  taken.add(own);
  return own;
}

const inOrder = (records: StoredRecord[]): StoredRecord[] => records.sort((a, b) => a.atS - b.atS);

/** What the store holds of one well's study, brought up to date with as few writes as it takes. */
export class Records {
  readonly #store: ReadingStore;
  readonly #wellId: string;
  readonly #breathe: () => Promise<void>;
  readonly #put = new Map<ToldKind, StoredRecord[]>();

  constructor(store: ReadingStore, wellId: string, breathe: () => Promise<void>) {
    this.#store = store;
    this.#wellId = wellId;
    this.#breathe = breathe;
  }

  /**
   * Makes the store hold these, and returns those that are new or have changed. What it holds of
   * the time before `staysBeforeS` stays as it is.
   */
  async bring(
    kind: ToldKind,
    told: readonly StoredRecord[],
    staysBeforeS = -Infinity,
  ): Promise<StoredRecord[]> {
    const put = this.#put.get(kind) ?? (await this.#held(kind));
    this.#put.set(kind, put);
    const records = withThoseOfBefore(put, told, staysBeforeS);
    const byId = new Map(put.map((one) => [one.id, one]));
    const changed = records.filter((one) => {
      const before = byId.get(one.id);
      return before === undefined || before.atS !== one.atS || !isAlike(before.body, one.body);
    });
    const ids = new Set(records.map(({ id }) => id));
    const touched = [...changed, ...put.filter(({ id }) => !ids.has(id))];
    // What moved in time is dropped where it was.
    for (const { id } of changed) {
      const before = byId.get(id);
      if (before !== undefined) touched.push(before);
    }
    const fromS = touched.reduce((least, { atS }) => Math.min(least, atS), Infinity);
    if (fromS < Infinity) await this.#putFrom(kind, fromS, records);
    return changed;
  }

  async #held(kind: RecordKind): Promise<StoredRecord[]> {
    return await this.#store.records(this.#wellId, kind, -ALWAYS_S, ALWAYS_S);
  }

  async #putFrom(kind: ToldKind, fromS: number, records: readonly StoredRecord[]): Promise<void> {
    const later = records.filter(({ atS }) => atS >= fromS);
    let dropFromS = fromS;
    // A put that fails half way leaves the store in doubt: it is asked again then.
    const before = this.#put.get(kind)!.filter(({ atS }) => atS < fromS);
    this.#put.delete(kind);
    for (let at = 0; at === 0 || at < later.length; ) {
      let to = Math.min(at + AT_ONCE, later.length);
      while (to < later.length && later[to]!.atS === later[to - 1]!.atS) to += 1;
      await this.#store.putRecords(this.#wellId, kind, dropFromS, later.slice(at, to));
      await this.#breathe();
      if (to === later.length) break;
      at = to;
      dropFromS = later[at]!.atS;
    }
    this.#put.set(kind, [...before, ...later]);
  }
}

/** What is held of before some moment, then what is told; an id that both use is the latter's. */
function withThoseOfBefore(
  held: readonly StoredRecord[],
  told: readonly StoredRecord[],
  staysBeforeS: number,
): readonly StoredRecord[] {
  const stay = held.filter(({ atS }) => atS < staysBeforeS);
  if (stay.length === 0) return told;
  const same = new Set(stay.map(({ id, atS }) => `${atS} ${id}`));
  const rest = told.filter(({ id, atS }) => !same.has(`${atS} ${id}`));
  const used = new Set(rest.map(({ id }) => id));
  const own = (one: StoredRecord): StoredRecord => {
    if (!used.has(one.id)) return one;
    const id = `${one.id}-of-${one.atS}`;
    const body = one.body as { id?: unknown };
    return { ...one, id, body: body.id === one.id ? { ...body, id } : body };
  };
  return inOrder([...stay.map(own), ...rest]);
}

/** Whether two bodies say the same: numbers to one per cent, the rest to the letter. */
export function isAlike(a: unknown, b: unknown): boolean {
  if (typeof a === 'number' && typeof b === 'number')
    return a === b || Math.abs(a - b) <= MOVED * Math.max(Math.abs(a), Math.abs(b));
  if (a === null || b === null || typeof a !== 'object' || typeof b !== 'object') return a === b;
  const keysA = Object.keys(a);
  if (keysA.length !== Object.keys(b).length) return false;
  return keysA.every((key) =>
    isAlike((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]),
  );
}
