import { setTimeout as sleep } from 'node:timers/promises';
import type { Rehearsal } from '../../simulation/rehearse.ts';
import type { Row } from '../../simulation/sensing/row.ts';
import type { Sender } from './sender.ts';

const TICK_MS = 200;
/** The plant moves by no more than this before the network has its turn, s. */
const SLICE_S = 3600;
/**
 * The plant's own steps end at least so often, s: one that is run to there goes the way of one that
 * is run in one go, to the last digit. Sooner than that its steps are cut where the network was.
 */
const WHOLE_S = 20;
/** With so many rows waiting for the service the rehearsal waits, too. */
const MOST_WAITING = 20_000;

export interface Sending {
  startS: number;
  endS: number;
  /** Rehearsed seconds in a second. */
  faster: number;
  sender: Sender;
  packOf: (row: Row) => string;
  /** Ends the rehearsal before its end. */
  signal?: AbortSignal;
}

/** What became of the rows. */
export interface Sent {
  /** Rows the service has answered for. */
  answered: number;
  /** Rows made that it has not; none where `failure` is null. */
  unanswered: number;
  failure: unknown;
}

/** Sends what the device reports as time goes by, until the end or until nothing helps. */
export async function sendLive(rehearsal: Rehearsal, sending: Sending): Promise<Sent> {
  const { startS, endS, faster, sender, packOf } = sending;
  const waiting: Row[] = [];
  const keep = (row: Row) => waiting.push(row);
  const sent: Sent = { answered: 0, unanswered: 0, failure: null };
  let underWay = 0;
  const next = () => {
    while (sent.failure === null && underWay < sender.atOnce && waiting.length > 0) {
      underWay++;
      sender.send(packOf(waiting.shift()!)).then(
        () => {
          underWay--;
          sent.answered++;
          next();
        },
        (error) => {
          sent.failure ??= error;
        },
      );
    }
  };
  const began = performance.now();
  let reachedS = startS;
  let ended = false;
  const isOver = () => sending.signal?.aborted || (ended && underWay === 0 && waiting.length === 0);
  while (sent.failure === null && !isOver()) {
    const passedS = ((performance.now() - began) / 1000) * faster;
    const whole = faster * TICK_MS >= 1000 * WHOLE_S;
    const dueS = Math.min(
      endS,
      startS + (whole ? Math.floor(passedS / WHOLE_S) * WHOLE_S : passedS),
    );
    if (!ended && waiting.length < MOST_WAITING) {
      reachedS = Math.min(dueS, reachedS + SLICE_S);
      rehearsal.runUntil(reachedS, keep);
      ended = reachedS >= endS;
      if (ended) rehearsal.finish(keep);
    }
    next();
    await sleep(reachedS < dueS && waiting.length < MOST_WAITING ? 0 : TICK_MS);
  }
  sent.unanswered = underWay + waiting.length;
  return sent;
}
