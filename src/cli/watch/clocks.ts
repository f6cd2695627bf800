import { instant } from '../../base/instant.ts';
import { apartOf, type ClockWatch, type Spell } from '../../ingest/inbox/clock-watch.ts';
import type { DeviceClock } from '../../model/well-now.ts';

/** Before this program was written no clock can be right: 2026-01-01T00:00:00Z. */
const WRITTEN_S = 1_767_225_600;

const named = (device: string): string => (device === '' ? 'a device without a name' : device);

/** Before when no readings are taken, as the clock of the service is not set yet [Unix s]. */
export const notBeforeS = (heardS: number, trustClock: boolean): number =>
  trustClock ? WRITTEN_S : Math.max(WRITTEN_S, heardS);

/** Why nothing is taken by a clock that is not set; what to do where it is. */
export function notSet(nowS: number, heardS: number): string {
  const says = `the clock stands at ${instant(nowS)} and is not set: no readings are taken until`;
  if (heardS <= WRITTEN_S) return `${says} it is`;
  return (
    `${says} it has passed ${instant(heardS)}, when readings last came. If the clock is right, ` +
    'start once with --trust-clock'
  );
}

/** What is said in the log of a clock of a device. */
export function ofClock(device: string, clock: DeviceClock | null): string {
  if (clock === null) return `the clock of ${named(device)} is right again`;
  const { behindS, apartUntil } = clock;
  const where = `${Math.abs(behindS)} s ${behindS < 0 ? 'ahead of' : 'behind'} that of the service`;
  if (apartUntil === null) return `the clock of ${named(device)} is ${where}`;
  return (
    `the clock of ${named(device)} was set back and is ${where}: its readings before ` +
    `${apartUntil} are kept apart`
  );
}

/** What the study tells of clocks that were set back. */
export function toldOf(watch: ClockWatch, wellId: string): string[] {
  return watch
    .spells(wellId)
    .map(
      ({ device, sinceS, untilS }: Spell) =>
        `The clock of ${named(device)} was set back, as told at ${instant(sinceS)}: what it sent ` +
        `from then on for times before ${instant(untilS)} is kept apart as ` +
        `${apartOf(wellId)}, and is not in this study.`,
    );
}
