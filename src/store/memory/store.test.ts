import { readingStoreContract } from '../../../test/contract/reading-store.contract.ts';
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
