import type { RehearsedLog } from '../support/rehearsed-log.ts';
import { opened, send } from './opened.ts';

/**
 * The service and a browser before it, on a clock that goes as fast as the readings of a rehearsed
 * log are sent.
 */
export async function timeLapse(
  log: RehearsedLog,
  tomls: string[],
  sending: (on: { api: string }, span: { fromS: number; toS: number }) => Promise<void> = (
    on,
    span,
  ) => send(on, log, span),
) {
  const clock = { s: log.timeS[0]!, nowS: () => clock.s };
  const at = await opened(tomls, { clock });
  let sentS = -Infinity;
  /** All readings up to a time come, the clock is there, and everything goes on. */
  const upTo = async (timeS: number) => {
    clock.s = timeS + 0.5;
    await sending(at.on, { fromS: sentS, toS: timeS });
    sentS = timeS;
    const { wells, guided } = at.on.service;
    await wells.advance();
    await guided.advance(
      wells.states().map(({ wellId }) => wellId),
      (error) => {
        throw error;
      },
    );
  };
  return {
    ...at,
    clock,
    upTo,
    /** Time passes as a device that sends every twenty seconds would have it. */
    async live(untilS: number) {
      for (let timeS = clock.s + 20; timeS < untilS; timeS += 20) await upTo(timeS);
      await upTo(untilS);
    },
  };
}
