import type { Who } from '../../ports/gate.ts';

/** What a device hears of its own well. */
const OF_DEVICE = ['please', 'refused', 'results'];

/** Whether one may publish for these wells: a device for its own, a reader for none. */
export function maySend({ role, well, holds }: Who, wells: readonly string[]): boolean {
  return role === 'device' && holds() && wells.every((one) => one === well);
}

/** Whether one may subscribe: a reader to all, a device to what is said to it, by its full name. */
export function mayHear({ role, well, holds }: Who, filter: string): boolean {
  if (!holds()) return false;
  if (role === 'reader') return true;
  return role === 'device' && OF_DEVICE.some((name) => filter === `wells/${well}/${name}`);
}
