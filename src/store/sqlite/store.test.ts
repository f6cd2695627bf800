import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readingStoreContract } from '../../../test/contract/reading-store.contract.ts';
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
