import type { FastifyReply } from 'fastify';
import Type, { type Static } from 'typebox';
import type { LivingWell } from '../living/living-well.ts';
import { Refusal } from './problems.ts';
import type { Served } from './served.ts';

/** Words of a person: one line, no signs of control. */
export const oneLine = (maxLength: number, description: string) =>
  Type.String({ minLength: 1, maxLength, pattern: '^\\P{Cc}*$', description });

/** What a path names. */
export const OF_WELL = Type.Object({
  well: Type.String({ maxLength: 32, description: 'id of the well' }),
});
export type OfWell = Static<typeof OF_WELL>;

/** A name as a person types it; where one signs in, the name of who has stands in its place. */
export const BY = oneLine(64, 'who asks; where access is set up, who is signed in');

const INSTANT = Type.String({ format: 'date-time', description: 'RFC 3339' });

/** A span of time; without an end up to the last, without a beginning from the first. */
export const SPAN = { from: Type.Optional(INSTANT), to: Type.Optional(INSTANT) };
const IN_SPAN = Type.Object(SPAN);

/** As far as times go. */
const EVER_S = 1e11;

export function spanS({ from, to }: Static<typeof IN_SPAN>): { fromS: number; toS: number } {
  const fromS = from === undefined ? -EVER_S : Date.parse(from) / 1000;
  const toS = to === undefined ? EVER_S : Date.parse(to) / 1000;
  if (toS > fromS) return { fromS, toS };
  throw new Refusal('bad-request', `expected 'to' after 'from', found ${from} to ${to}`);
}

export { instant } from '../base/instant.ts';

/** The well that a path names; a refusal where there is none. */
export function wellOf({ names }: Served, { well }: OfWell): string {
  if (names.has(well)) return well;
  throw new Refusal('unknown-well', `expected one of ${[...names.keys()].join(', ')}`);
}

/** The well alive; a refusal where no file of it can be used. */
export function livingOf({ wells }: Served, wellId: string): LivingWell {
  const living = wells.get(wellId);
  if (living !== null) return living;
  throw new Refusal('no-analysis', `${wellId} has no well file that can be used`);
}

/** So many long answers at once, and no more; and none for ever, however slowly it is read. */
export class Turns {
  readonly #served: Served;
  readonly #most: number;
  #taken = 0;

  constructor(served: Served, most: number = served.limits.longAnswers) {
    this.#served = served;
    this.#most = most;
  }

  /** Taken until the answer is through, or whoever asked is gone. */
  take({ raw }: FastifyReply): void {
    const { limits, counts } = this.#served;
    const most = this.#most;
    if (this.#taken >= most) throw new Refusal('busy', `expected at most ${most}`);
    this.#taken += 1;
    const timer = setTimeout(() => {
      counts.add('http-too-long');
      raw.destroy();
    }, limits.answerWithinS * 1000).unref();
    raw.once('close', () => {
      clearTimeout(timer);
      this.#taken -= 1;
    });
  }
}
