/** Snapshots stand no closer than this, in reading time, s. */
const STEP_S = 3600;

/**
 * Whether the analysis, now at `atS`, is worth a snapshot after the one at `lastS`. Near the
 * present that is every hour; in a long replay the distance is as long as what is still ahead, so
 * that a year read again takes a dozen of them, not thousands.
 */
export function isSnapshotDue(lastS: number, atS: number, nowS: number): boolean {
  return atS - lastS >= Math.max(STEP_S, nowS - atS);
}

/**
 * Which snapshots to drop of those at `beforeS` (rising), so that between two that stay lies no
 * more than an hour or the age of the newer one: a reading that is late by A costs a replay of 2 A
 * at most (or of A and an hour), and after a year there are two dozen snapshots at most.
 */
export function toThin(beforeS: readonly number[], nowS: number): number[] {
  const drop: number[] = [];
  let newer = beforeS.at(-1) ?? NaN;
  // The oldest and the newest always stay.
  for (let i = beforeS.length - 2; i > 0; i--) {
    if (newer - beforeS[i - 1]! <= Math.max(STEP_S, nowS - newer)) drop.push(beforeS[i]!);
    else newer = beforeS[i]!;
  }
  return drop;
}
