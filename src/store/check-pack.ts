import { assert } from '../base/assert.ts';
import { CHANNELS } from '../model/reading.ts';
import type { Pack } from '../ports/reading-store.ts';

/** The years to 5138: an hour of them is counted exactly. */
const MOST_S = 1e11;

/** Holds a caller to what the port says of a pack, before anything of it is written. */
export function checkPack({ wellId, boot, seq, readings }: Pack): void {
  assert(wellId !== '', 'a pack names its well');
  for (const word of [boot, seq])
    assert(word === null || (Number.isSafeInteger(word) && word >= 0), 'boot and seq count');
  for (let i = 0; i < readings.count; i++) {
    assert(Math.abs(readings.timeS[i]!) <= MOST_S, `a time of use, found ${readings.timeS[i]}`);
    assert(Number.isFinite(readings.value[i]), `a finite value, found ${readings.value[i]}`);
    assert(CHANNELS[readings.channel[i]!] !== undefined, 'a channel of the model');
  }
}
