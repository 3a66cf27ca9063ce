/** What every store of the queue must do. Run by queue.test.ts for each of them. */
import { afterAll, beforeAll, describe, test } from 'vitest';
import { callTests } from './queue-calls.ts';
import { endingTests } from './queue-endings.ts';
import { Lab } from './queue-lab.ts';
import { migrateStore, type OpenedStore, openStore, type StoreAddress } from './queue-stores.ts';
import { tickAndNoticeTests } from './queue-ticks-notices.ts';

export interface FoundStore {
  address: StoreAddress;
  /** Fails when the queue has left connections behind. */
  end(): Promise<void>;
}

export function queueContract(title: string, find: () => Promise<FoundStore>): void {
  describe(title, () => {
    let found: FoundStore;
    let store: OpenedStore;
    beforeAll(async () => {
      found = await find();
      await migrateStore(found.address);
      store = await openStore(found.address);
    });
    afterAll(async () => {
      await store?.end();
      await found?.end();
    });
    for (const [what, run] of [...callTests, ...endingTests, ...tickAndNoticeTests]) {
      test(what, async () => {
        const lab = new Lab(found.address, store);
        try {
          await run(lab);
        } finally {
          await lab.tidy();
        }
      });
    }
  });
}
