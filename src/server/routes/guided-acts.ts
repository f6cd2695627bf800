import type { FastifyInstance } from 'fastify';
import Type, { type Static, type TSchema } from 'typebox';
import { GuideRefusal } from '../../guided/session.ts';
import { answers } from '../answers.ts';
import { livingOf, OF_WELL, type OfWell, wellOf } from '../ask.ts';
import { Refusal } from '../problems.ts';
import type { Served } from '../served.ts';
import { inBook } from './well-text.ts';

/** A quantity as a person types it. */
export const WRITTEN = Type.String({ maxLength: 40, description: 'with its unit' });

/** Who writes into the well file, where nobody said so. */
export const SOMEBODY = 'whoever was at the page';

/** What cannot be done now, or not with the well file, is told as such. */
export async function orRefused<T>(done: Promise<T>): Promise<T> {
  try {
    return await inBook(() => done);
  } catch (error) {
    if (error instanceof GuideRefusal) throw new Refusal('not-possible', error.message);
    throw error;
  }
}

/** Makes routes of a well that is analysed that do something, and then say how it stands. */
export function guidedActs(
  own: FastifyInstance,
  served: Served,
  says: { answer: TSchema; shown: (well: string) => Promise<object> },
) {
  const response = answers('as GET gives it', says.answer);
  return <T extends TSchema>(
    path: string,
    summary: string,
    body: T,
    does: (well: string, asked: Static<T>) => Promise<void>,
  ): void => {
    own.post<{ Params: OfWell; Body: Static<T> }>(
      `/wells/:well${path}`,
      { schema: { summary, params: OF_WELL, body, response } },
      async ({ params, body: asked }) => {
        const well = wellOf(served, params);
        livingOf(served, well);
        await orRefused(does(well, asked as Static<T>));
        return says.shown(well);
      },
    );
  };
}
