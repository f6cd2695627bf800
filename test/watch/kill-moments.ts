import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readlinkSync, rmSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { exportCsv } from '../../src/store/export.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { versionIn } from '../store/kill.ts';
import { backToVersion1 } from '../store/version-1.ts';
import { MAIN, spawnWatch } from './watch-child.ts';

/** What the service is about when it is killed: it starts or takes readings, a copy is made, … */
export const MOMENTS = ['sending', 'backup', 'migration'] as const;
export type Moment = (typeof MOMENTS)[number];

const BACKUP_MS = 1500;
const MIGRATION_MS = 60;
const STARTS_WITHIN_MS = 30_000;

interface Killing {
  args: string[];
  store: string;
  random: () => number;
  /** A kill comes so long after a start at most. */
  mostMs: number;
}

/** Starts the service and kills it, over and over. */
export class Killer {
  readonly #killing: Killing;
  /** Kills that fell before the service was up, into a backup, into a migration. */
  readonly counts = { beforeUp: 0, inBackup: 0, inMigration: 0 };

  constructor(killing: Killing) {
    this.#killing = killing;
  }

  async kill(moment: Moment): Promise<void> {
    const { args, store, random, mostMs } = this.#killing;
    const asVersion1 = moment === 'migration' && versionIn(store) > 1;
    if (asVersion1) backToVersion1(store);
    const { child, written } = spawnWatch(args);
    const ended = once(child, 'exit');
    const isUp = () => written.err.includes('HTTP port');
    if (moment === 'sending') await sleep(random() * mostMs);
    if (moment === 'migration') {
      await upTo(() => hasOpen(child.pid, store));
      await sleep(random() * MIGRATION_MS);
    }
    const backup = moment === 'backup' ? await this.#backup(isUp) : null;
    child.kill('SIGKILL');
    if (backup?.exitCode === null) {
      this.counts.inBackup += 1;
      // Its own end, too, may come at any moment.
      if (random() < 0.5) backup.kill('SIGKILL');
      await once(backup, 'exit');
    }
    await ended;
    if (!isUp()) this.counts.beforeUp += 1;
    if (asVersion1 && versionIn(store) === 1) this.counts.inMigration += 1;
  }

  /** A backup that has begun some time ago. */
  async #backup(isUp: () => boolean) {
    const { store, random } = this.#killing;
    await upTo(isUp);
    rmSync(copyOf(store), { force: true });
    const files = [store, copyOf(store)];
    const child = spawn(process.execPath, [MAIN, 'store', 'backup', ...files], { stdio: 'ignore' });
    await sleep(random() * BACKUP_MS);
    return child;
  }
}

const copyOf = (store: string) => `${store}.copy`;

/** What a copy holds, as a log, and what is wrong with it; null where there is none. */
export async function lookAtCopy(store: string, wellId: string) {
  const path = copyOf(store);
  if (!existsSync(path)) return null;
  const copy = new SqliteStore(path, { readOnly: true });
  try {
    const { problems } = await copy.check();
    let csv = '';
    for await (const piece of exportCsv(copy, { wellId, fromS: -1e11, toS: 1e11 })) csv += piece;
    return { problems, csv };
  } finally {
    await copy.close();
  }
}

async function upTo(holds: () => boolean): Promise<void> {
  const beganMs = performance.now();
  while (!holds()) {
    if (performance.now() - beganMs > STARTS_WITHIN_MS) throw new Error(`waiting for ${holds}`);
    await sleep(1);
  }
}

function hasOpen(pid: number | undefined, path: string): boolean {
  const folder = `/proc/${pid}/fd`;
  return readdirSync(folder).some((name) => {
    try {
      return readlinkSync(`${folder}/${name}`) === path;
    } catch {
      return false;
    }
  });
}
