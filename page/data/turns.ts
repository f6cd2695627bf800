import { Refused } from './api.ts';

/** The service answers four long questions at once, and others may ask as well. */
const AT_ONCE = 3;
/** Where it is busy with others, it is asked again after this, and so often. */
const AGAIN_MS = 800;
const TRIES = 8;

const waiting: (() => Promise<void>)[] = [];
let underWay = 0;

/** A long question in its turn; what was asked last comes first, for it is looked at now. */
export function inTurn<T>(ask: () => Promise<T>): Promise<T> {
  return new Promise<T>((resolve, reject) => {
    waiting.push(() => tried(ask, TRIES).then(resolve, reject));
    void next();
  });
}

async function next(): Promise<void> {
  if (underWay >= AT_ONCE) return;
  const work = waiting.pop();
  if (work === undefined) return;
  underWay += 1;
  await work();
  underWay -= 1;
  void next();
}

async function tried<T>(ask: () => Promise<T>, tries: number): Promise<T> {
  try {
    return await ask();
  } catch (error) {
    if (tries <= 1 || !(error instanceof Refused) || error.code !== 'busy') throw error;
    await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
    return tried(ask, tries - 1);
  }
}
