import { setTimeout as sleep } from 'node:timers/promises';

/** Waits until something holds, and fails after some ten seconds. */
export async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 500; tries++) {
    if (await holds()) return;
    await sleep(20);
  }
  throw new Error(`still waiting for ${holds}`);
}
