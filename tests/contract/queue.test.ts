import { describe, test } from 'vitest';
import { roleUrl } from '../../db/role-login.ts';
import { freshDatabase } from '../helpers/db.ts';
import { queueContract } from './queue-suite.ts';

queueContract('queue on PostgreSQL', async () => {
  const database = await freshDatabase();
  return {
    address: { kind: 'postgres', url: roleUrl(database.ownerUrl, 'lw_queue') },
    end: database.drop,
  };
});

const redisUrl = process.env.REDIS_URL;
if (redisUrl) {
  queueContract('queue on Redis', async () => ({
    address: { kind: 'redis', url: redisUrl },
    end: async () => undefined,
  }));
} else {
  describe('queue on Redis', () => {
    test.skip('not run: REDIS_URL is not set', () => undefined);
  });
}
