import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readingStoreContract } from '../../../test/contract/reading-store.contract.ts';
import { waitingPacksContract } from '../../../test/contract/waiting-packs.contract.ts';
import { SqliteStore } from './store.ts';

readingStoreContract('SqliteStore', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-store-'));
  const path = join(folder, 'store.sqlite');
  let store = new SqliteStore(path);
  return {
    store,
    settle: () => store.seal('all'),
    reopened: async () => {
      await store.close();
      store = new SqliteStore(path);
      return store;
    },
    remove: async () => {
      await store.close();
      rmSync(folder, { recursive: true });
    },
  };
});

waitingPacksContract('SqliteStore', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-store-'));
  const open = () => {
    const packs = new SqliteStore(join(folder, 'store.sqlite'));
    return {
      packs,
      reopen: async () => {
        await packs.close();
        return open();
      },
      close: async () => {
        await packs.close();
        rmSync(folder, { recursive: true });
      },
    };
  };
  return open();
});
