import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { setTimeout as sleep } from 'node:timers/promises';
import { checkDatabase } from '../../src/store/sqlite/check.ts';
import { Database } from '../../src/store/sqlite/database.ts';
import { pragma, STEPS } from '../../src/store/sqlite/schema.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { allReadings } from './all-readings.ts';
import { packNumber } from './keeper.ts';
import { backToVersion1 } from './version-1.ts';

export const MODES = ['keep', 'backup', 'migrate'] as const;
export type Mode = (typeof MODES)[number];

/** What a kill and the look at the file after it told. */
export interface AfterKill {
  acknowledged: number;
  /** Acknowledged readings that are not there. */
  lost: number;
  /** Readings that are there twice. */
  doubled: number;
  problems: string[];
  /** Whether the file was of the newest version, a migration to it gone through. */
  migrated: boolean;
}

/** One store that is written to by one process after another, each killed at some moment. */
export class KilledStore {
  readonly #path: string;
  #next = 0;
  #acknowledged = 0;

  constructor(folder: string) {
    this.#path = join(folder, 'store.sqlite');
  }

  async killAfter(ms: number, mode: Mode): Promise<AfterKill> {
    if (mode === 'migrate') backToVersion1(this.#path);
    const keeper = join(import.meta.dirname, 'keeper.ts');
    const args = [keeper, this.#path, String(this.#next), '1000000', mode];
    const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
    let told = '';
    child.stdout.on('data', (piece) => {
      told += piece;
    });
    const exited = once(child, 'close');
    await Promise.race([once(child.stdout, 'data'), exited]);
    await sleep(ms);
    child.kill('SIGKILL');
    const [code, signal] = await exited;
    if (signal !== 'SIGKILL') throw new Error(`the keeper ended by itself: ${code}`);
    const numbers = told
      .split('\n')
      .slice(0, -1)
      .filter((line) => line !== 'migrating');
    if (numbers.length > 0) this.#next = Number(numbers.at(-1)) + 1;
    this.#acknowledged += numbers.length;
    return this.#look();
  }

  async #look(): Promise<AfterKill> {
    const migrated = versionIn(this.#path) === STEPS.length;
    const store = new SqliteStore(this.#path);
    try {
      const { problems } = await store.check();
      const found = new Map<string, number>();
      for (const [timeS, channel, value] of await allReadings(store, 'ridge')) {
        const key = `${timeS} ${channel} ${value}`;
        found.set(key, (found.get(key) ?? 0) + 1);
      }
      let lost = 0;
      for (let n = 0; n < this.#next; n++) {
        const { count, timeS, channel, value } = packNumber(n).readings;
        for (let i = 0; i < count; i++)
          if (!found.has(`${timeS[i]} ${channel[i]} ${value[i]}`)) lost++;
      }
      const doubled = [...found.values()].filter((times) => times > 1).length;
      const copy = `${this.#path}.copy`;
      if (existsSync(copy)) problems.push(...(await problemsOf(copy)));
      return { acknowledged: this.#acknowledged, lost, doubled, problems, migrated };
    } finally {
      await store.close();
    }
  }
}

/** A copy is there as a whole or not at all. */
async function problemsOf(path: string): Promise<string[]> {
  const db = new Database(path);
  try {
    return (await checkDatabase(db)).problems;
  } finally {
    db.close();
  }
}

export function versionIn(path: string): number {
  const db = new DatabaseSync(path, { readOnly: true });
  const version = Number(pragma(db, 'user_version'));
  db.close();
  return version;
}
