import type { FindingEntry } from '../../model/study.ts';
import type { Clock } from '../../ports/clock.ts';
import type { Say } from './say.ts';

/** What was over before this is of the past: it is counted, s. */
const PAST_S = 86_400;

/**
 * What the log says of findings: those that stand and those just over each by its time. Of what is
 * long over, as a history read for the first time has it, one line says how many.
 */
export class FindingLines {
  readonly #clock: Clock;
  readonly #say: Say;
  readonly #past = new Map<string, { count: number; first: string; last: string }>();

  constructor(clock: Clock, say: Say) {
    this.#clock = clock;
    this.#say = say;
  }

  note(well: string, { fault, probability, urgency, raised, cleared }: FindingEntry): void {
    if (cleared !== null && Date.parse(cleared) / 1000 < this.#clock.nowS() - PAST_S) {
      this.#countPast(well, cleared);
      return;
    }
    const odds = `${Math.round(100 * probability)} %, ${urgency}`;
    const says = cleared === null ? `${odds}, since ${raised}` : `over at ${cleared}`;
    this.#say({ level: 'told', well, says: `${fault}: ${says}` });
  }

  /** After all that was found in one go has been noted. */
  done(well: string): void {
    const past = this.#past.get(well);
    if (past === undefined) return;
    this.#past.delete(well);
    const { count, first, last } = past;
    const when = first === last ? `at ${first}` : `from ${first} to ${last}`;
    const what = `${count} finding${count === 1 ? '' : 's'} of the past`;
    this.#say({ level: 'told', well, says: `${what}, over ${when}` });
  }

  #countPast(well: string, cleared: string): void {
    const past = this.#past.get(well) ?? { count: 0, first: cleared, last: cleared };
    past.count += 1;
    if (Date.parse(cleared) < Date.parse(past.first)) past.first = cleared;
    if (Date.parse(cleared) > Date.parse(past.last)) past.last = cleared;
    this.#past.set(well, past);
  }
}
