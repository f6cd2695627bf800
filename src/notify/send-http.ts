import { causeOf } from '../base/cause-of.ts';
import { NotTold } from '../ports/notifier.ts';

/** A receiver has so long to answer, ms. */
export const ANSWER_WITHIN_MS = 15_000;

/** Answers that time may mend; any other refusal is for good. */
const isPassing = (status: number): boolean => status >= 500 || [408, 425, 429].includes(status);

/** There is no such receiver any more. */
export class ReceiverGone extends NotTold {}
const isGone = (status: number): boolean => status === 404 || status === 410;

/** Posts, and resolves with what was answered where it was taken. No secret is in what it says. */
export async function post(
  address: string,
  headers: Record<string, string>,
  body: string | Uint8Array<ArrayBuffer>,
  withinMs = ANSWER_WITHIN_MS,
): Promise<void> {
  const where = placeOf(address);
  let status: number;
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers,
      body,
      redirect: 'manual',
      signal: AbortSignal.timeout(withinMs),
    });
    status = answer.status;
    await answer.body?.cancel();
  } catch (error) {
    throw new NotTold(`${where}: expected an answer, found ${causeOf(error)}`, true);
  }
  if (status >= 200 && status < 300) return;
  const says = `${where}: expected 200 to 299, found ${status}`;
  if (isGone(status)) throw new ReceiverGone(says, false);
  throw new NotTold(says, isPassing(status));
}

/** Where an address leads, without what may be secret in it: its path and query. */
export function placeOf(address: string): string {
  const { protocol, host } = new URL(address);
  return `${protocol}//${host}`;
}
