import type { WellNow } from '../../src/model/well-now.ts';
import { SAY } from '../words.ts';

/** Whether the pump runs, as it stands beside a figure; nothing is claimed that is not known. */
export function pumpState({ pump }: WellNow): string {
  if (pump.on === null) return SAY.section.unknown;
  return pump.on ? SAY.section.on : SAY.section.off;
}

/** The same as a sentence. */
export function pumpSentence({ pump }: WellNow): string {
  const say = SAY.section.spoken;
  if (pump.on === null) return say.stateNotKnown;
  return pump.on ? say.on : say.off;
}
