import { readingStoreContract } from '../../../test/contract/reading-store.contract.ts';
import { waitingPacksContract } from '../../../test/contract/waiting-packs.contract.ts';
import { MemoryStore } from './store.ts';

readingStoreContract('MemoryStore', async () => {
  const store = new MemoryStore();
  return {
    store,
    settle: async () => {},
    reopened: async () => store,
    remove: () => store.close(),
  };
});

waitingPacksContract('MemoryStore', async () => {
  const packs = new MemoryStore();
  const place = { packs, reopen: async () => place, close: () => packs.close() };
  return place;
});
